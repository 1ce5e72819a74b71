"""Tests of the window and of what stands behind it; drawn offscreen."""

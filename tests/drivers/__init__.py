"""Tests of the instruments' drivers."""

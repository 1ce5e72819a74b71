"""Tests of bench.winding."""

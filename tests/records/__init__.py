"""Tests of bench.records."""

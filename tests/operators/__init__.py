"""Tests of bench.operators."""

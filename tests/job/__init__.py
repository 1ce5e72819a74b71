"""Tests of bench.job."""

"""Leakage inductance against finite elements."""

"""All circuits that are compared with ngspice."""

from __future__ import annotations

from tests.outside.spice import excitation_cases, on_load_cases
from tests.outside.spice.case import SpiceCase

__all__ = ["CASES"]

CASES: tuple[SpiceCase, ...] = (*excitation_cases.CASES, *on_load_cases.CASES)

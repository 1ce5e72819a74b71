"""All circuits that are compared with ngspice."""

from __future__ import annotations

from tests.outside.spice import excitation_cases
from tests.outside.spice.case import SpiceCase

__all__ = ["CASES"]

CASES: tuple[SpiceCase, ...] = (*excitation_cases.CASES,)

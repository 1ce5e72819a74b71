"""Option types that click does not have."""

from __future__ import annotations

import math
from typing import Any

import click

__all__ = ["Finite"]


class Finite(click.FloatRange):
    """A number within its range; click's own takes `nan` for every range, and `inf` for an open one."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value!r} is no number, expected such as 2.5", param, ctx)
        return number

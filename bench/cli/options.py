"""Option types that click does not have."""

from __future__ import annotations

import math
import re
from typing import Any

import click

__all__ = ["Finite"]

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


class Finite(click.FloatRange):
    """A number within its range, with a point or a comma; click's own takes `nan` and `1_0`, and no comma."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        if isinstance(value, str):
            if _NUMBER.fullmatch(value.strip()) is None:
                self.fail(f"{value!r} is no number, expected such as 2.5", param, ctx)
            if _THOUSANDS.fullmatch(value.strip()) is not None:
                self.fail(f"{value!r} can mean a thousand or a fraction, expected it without the comma", param, ctx)
            value = value.strip().replace(",", ".")
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value!r} is no number, expected such as 2.5", param, ctx)
        return number

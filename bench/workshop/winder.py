"""The profile of a CNC winder: what a winding program must know of the machine that it is for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from bench.job.fields import Model
from bench.job.file import FileProblem, read_table
from bench.job.profiles import known, profile_folder

__all__ = ["ProgramForm", "Spindle", "Traverse", "Winder", "WinderProblem", "load_winder"]

Axis = Literal["X", "Y", "Z", "A", "B", "C"]
"""The axes of RS-274/NGC: three straight, three rotary."""

_TRAVERSE_STEP, _TURN_STEP = 0.01e-3, 0.01
"""A tenth of the thinnest wire that is wound in layers [m]; four degrees [turns]: both of no account on the former."""


class WinderProblem(ValueError):
    """A profile that is not there or can't be used; one line a problem."""


class Spindle(Model):
    """The axis that turns the former.  units_per_turn: of its axis word;  clockwise: the sign of a turn that goes
    clockwise seen from the left flange;  slow_turns: before each stop and each layer's end."""

    axis: Axis
    units_per_turn: Annotated[float, Field(gt=0, le=1e4)]
    clockwise: Literal["+", "-"] = "+"
    turns_per_minute: Annotated[float, Field(gt=0, le=6000)]
    slow_turns_per_minute: Annotated[float, Field(gt=0, le=6000)]
    slow_turns: Annotated[int, Field(strict=True, ge=0, le=100)]

    @model_validator(mode="after")
    def _slow_is_slower(self) -> Spindle:
        if self.slow_turns_per_minute > self.turns_per_minute:
            raise ValueError(
                f"slow_turns_per_minute {self.slow_turns_per_minute:g}, expected at most turns_per_minute "
                f"{self.turns_per_minute:g}"
            )
        return self


class Traverse(Model):
    """The axis that lays the wire, 0 at the left flange's inner face, plus to the right.  backlash_mm: motion that is
    lost where it turns round;  settle_s: rest at a layer's end where nothing is laid."""

    axis: Axis
    units: Literal["mm", "inch"] = "mm"
    most_mm_per_minute: Annotated[float, Field(gt=0, le=1e5)]
    backlash_mm: Annotated[float, Field(ge=0, le=5)] = 0.0
    settle_s: Annotated[float, Field(ge=0, le=60)] = 0.5


class ProgramForm(Model):
    """How the text is written.  longest_line: characters, comments and messages too;  decimals: of axis words."""

    longest_line: Annotated[int, Field(strict=True, ge=50, le=256)] = 80
    line_numbers: bool = True
    decimals: Annotated[int, Field(strict=True, ge=2, le=6)] = 4


class Winder(Model):
    """One machine."""

    schema_: Literal[1] = Field(alias="schema")
    name: Annotated[str, Field(min_length=1, max_length=40)]
    about: str = ""
    spindle: Spindle
    traverse: Traverse
    program: ProgramForm = ProgramForm()

    @model_validator(mode="after")
    def _two_axes(self) -> Winder:
        if self.spindle.axis == self.traverse.axis:
            raise ValueError(f"spindle and traverse are both axis {self.spindle.axis}, expected two axes")
        if self.traverse.axis in "ABC":
            raise ValueError(f"traverse axis {self.traverse.axis} is rotary, expected X, Y or Z")
        if self.spindle.axis in "XYZ" and self.traverse.units == "inch":
            raise ValueError(f"spindle axis {self.spindle.axis} would count in inches too, expected units mm")
        if self.traverse_resolution > _TRAVERSE_STEP or self.turn_resolution > _TURN_STEP:
            raise ValueError(
                f"{self.program.decimals} decimals tell {self.traverse_resolution * 1e3:.3g} mm and "
                f"{self.turn_resolution:.3g} turns, expected at most {_TRAVERSE_STEP * 1e3:g} mm and "
                f"{_TURN_STEP:g} turns"
            )
        return self

    @property
    def traverse_resolution(self) -> float:
        """What the last decimal of a traverse word is worth [m]."""
        return float(10.0**-self.program.decimals * (25.4e-3 if self.traverse.units == "inch" else 1e-3))

    @property
    def turn_resolution(self) -> float:
        """What the last decimal of a spindle word is worth [turns]."""
        return float(10.0**-self.program.decimals / self.spindle.units_per_turn)


def load_winder(name: str) -> Winder:
    """A shipped profile by its name, or one's own by the path of its file; raises WinderProblem."""
    path = profile_folder("winders") / f"{name}.toml"
    if name not in known("winders"):
        path = Path(name)
        if path.suffix != ".toml":
            raise WinderProblem(
                f"winder {name!r} is not known, expected one of {', '.join(known('winders'))}, or a profile's file"
            )
    try:
        return Winder.model_validate(read_table(path))
    except FileProblem as problem:
        raise WinderProblem("\n".join(problem.lines)) from None
    except ValidationError as problem:
        told = [(".".join(str(part) for part in one["loc"]), one["msg"]) for one in problem.errors()]
        raise WinderProblem("\n".join(f"{path}: {where or 'profile'}: {what}" for where, what in told)) from None

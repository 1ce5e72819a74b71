"""A procedure as data: which steps a test takes, and what a workshop adds of its own."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated, Literal

from pydantic import ConfigDict, Field, model_validator

from bench.job.fields import Model
from bench.job.file import read_model
from bench.job.profiles import known, profile_folder

__all__ = ["OwnStep", "ProcedureFile", "Stage", "StepEntry", "read_procedure", "shipped_procedure"]

StepName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]


class Stage(StrEnum):
    """When in the life of the rewound unit a procedure is for."""

    BEFORE_VARNISH = "before varnish"
    AFTER_VARNISH = "after varnish"
    IN_EQUIPMENT = "in the equipment"


class OwnStep(Model):
    """What a workshop asks for besides: something to do, a value to type, or a reading between two terminals.

    text: what to do, in words;  unit: what a typed value is in, empty where it is only done;  lower, upper: in that
    unit;  basis: where the limits come from, shown beside them;  reads: the meter's quantity, where it is read by the
    meter, between the terminals `from` and `to`;  feed: what the primary is fed with meanwhile.
    """

    name: StepName
    text: Annotated[str, Field(min_length=1)]
    unit: str = ""
    lower: float | None = None
    upper: float | None = None
    basis: str = ""
    cautions: tuple[str, ...] = ()
    reads: Literal["voltage_ac", "resistance", "resistance_4w"] | None = None
    from_: str = Field(default="", alias="from")
    to: str = ""
    feed: Literal["nothing", "low volts", "nominal"] = "nothing"

    @model_validator(mode="after")
    def _whole(self) -> OwnStep:
        limits = self.lower is not None or self.upper is not None
        if limits and not self.basis.strip():
            raise ValueError("limits without basis, expected where they come from, such as 'workshop'")
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise ValueError(f"lower {self.lower:g} is above upper {self.upper:g}")
        if self.reads is not None and not (self.from_ and self.to):
            raise ValueError("reads without from and to, expected two terminals such as 'primary.start'")
        if self.reads is None and (self.from_ or self.to or self.feed != "nothing"):
            raise ValueError("from, to or feed without reads, expected the meter's quantity")
        if self.feed != "nothing" and self.reads != "voltage_ac":
            raise ValueError(f"feed while {self.reads} is read, expected nothing: ohms are read on a dead unit")
        if self.reads is None and limits and not self.unit:
            raise ValueError("limits without unit, expected the unit of the typed value")
        return self


class StepEntry(Model):
    """One step: a kind that the program knows, or one of the workshop's own.

    required: whether the unit can be accepted without it, where that differs from what the kind says.
    """

    model_config = ConfigDict(json_schema_extra={"oneOf": [{"required": ["kind"]}, {"required": ["own"]}]})

    kind: StepName | None = None
    own: OwnStep | None = None
    required: bool | None = None

    @model_validator(mode="after")
    def _one(self) -> StepEntry:
        if (self.kind is None) == (self.own is None):
            raise ValueError("expected either kind, or a table own")
        return self

    @property
    def name(self) -> str:
        """Of the step in results and the record."""
        return self.kind or (self.own.name if self.own is not None else "")


class ProcedureFile(Model):
    """A test from the first caution to the result; rules: the profile that its limits are in."""

    schema_: Literal[1] = Field(alias="schema")
    name: str
    about: str = ""
    stage: Stage = Stage.BEFORE_VARNISH
    rules: str = "small-mains"
    step: tuple[StepEntry, ...] = Field(json_schema_extra={"minItems": 1})

    @model_validator(mode="after")
    def _once(self) -> ProcedureFile:
        if not self.step:
            raise ValueError("no step, expected at least one [[step]]")
        names = [one.name for one in self.step]
        doubled = sorted({name for name in names if names.count(name) > 1})
        if doubled:
            raise ValueError(f"more than one step is named {', '.join(doubled)}")
        return self


def read_procedure(path: Path) -> ProcedureFile:
    """The procedure in a TOML file; raises FileProblem with every problem at once."""
    return read_model(path, ProcedureFile)


def shipped_procedure(name: str) -> ProcedureFile:
    """A procedure that comes with the program; raises ValueError with the names that exist."""
    if name not in known("procedures"):
        raise ValueError(f"{name!r} is no procedure, expected one of {', '.join(known('procedures'))}, or a file")
    return read_procedure(profile_folder("procedures") / f"{name}.toml")

"""A winding in the record: where it stands, and what is written of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from bench.records.moments import day
from bench.sitting.problems import BadInput
from bench.winding.state import WindingState, counted_last, state_of

if TYPE_CHECKING:
    from bench.acceptance.context import Wound
    from bench.job.model import Job
    from bench.records.entry import Entry
    from bench.records.store import Store

__all__ = ["WindingRecord", "unfinished", "windings_stand", "wound", "wound_in"]


class WindingRecord:
    """The entries of one winding of one job."""

    def __init__(self, store: Store, number: str, winding: str) -> None:
        self.store = store
        self.number = number
        self.winding = winding

    @property
    def state(self) -> WindingState:
        """By all entries so far."""
        entries = [(one.kind, one.body, one.at) for one in self.store.landmarks(self.number)]
        return state_of(self.winding, entries)

    def keep(self, kind: str, body: dict[str, Any]) -> None:
        """One entry, on the disk when this returns; raises RecordProblem."""
        from bench.records.entry import Kind

        self.store.append(self.number, Kind(kind), {"winding": self.winding, **body})

    def begin(self, state: WindingState, target: int, by: str) -> str:
        """Somebody sits down to it: a new winding, or one more go of one that was left.  What there is to say of it."""
        said = ""
        if not state.begun:
            if state.done is not None:
                said = f"{self.was_done(state)}; a new one from 0"
            self.keep("winding begun", {"target": target})
        self.keep("winding go", {"target": target, "by": by, "go": state.goes + 1})
        return said

    def was_done(self, state: WindingState) -> str:
        """When, and with how many turns."""
        when = f" on {day(state.done_at)}" if state.done_at else ""
        return f"{self.winding}: was done{when} with {state.done:g} turns"

    def may_begin(self, *, again: bool, start: float | None) -> None:
        """Raises BadInput for a winding that was done, unless it is said whether it is wound anew or gone on with."""
        state = self.state
        if again and state.begun and state.turns:
            raise BadInput(
                f"--again: {self.winding} was left at {state.turns:g} turns and never finished, expected without "
                "--again: it goes on there (where its wire is off: `set 0 WHY`, or by hand the turns with a minus)"
            )
        if state.begun or state.done is None or again or start is not None:
            return
        raise BadInput(
            f"{self.was_done(state)}; say --again to wind a new one from 0, or --from {state.done:g} to go on with it"
        )


def windings_stand(store: Store, job: Job) -> tuple[WindingState, ...]:
    """Where each winding of a job stands by all entries so far."""
    entries = [(one.kind, one.body, one.at) for one in store.landmarks(job.identity.number)]
    return tuple(state_of(one.name, entries) for one in job.winding)


def unfinished(store: Store, number: str, winding: str) -> float | None:
    """Turns at which a winding was left; None where it was finished or never begun."""
    state = WindingRecord(store, number, winding).state
    return state.turns if state.begun and (state.counted or state.typed_layers) else None


def wound(store: Store, job: Job) -> dict[str, Wound]:
    """Turns of each winding of a job as they were counted when it was finished last; what was never counted lacks."""
    return wound_in(store.landmarks(job.identity.number), job)


def wound_in(entries: Iterable[Entry], job: Job) -> dict[str, Wound]:
    """The same by these entries of the job."""
    from bench.acceptance.context import Wound

    found = {}
    for name, body in counted_last((one.kind, one.body) for one in entries).items():
        if any(one.name == name for one in job.winding):
            low, high = body.get("low"), body.get("high")
            found[name] = Wound(
                float(body["turns"]), -math.inf if low is None else low, math.inf if high is None else high
            )
    return found

"""Where a counter takes a winding up: from the record, from what was typed, or from what a person says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput
from bench.sitting.winding_record import WindingRecord
from bench.winding.bodies import bound
from bench.winding.state import WindingState
from drivers.joiner import CountJoiner

if TYPE_CHECKING:
    from drivers.counter import Counter

__all__ = ["may_be_others", "take_up"]


def may_be_others(record: WindingRecord, state: WindingState) -> bool:
    """Whether turns of the spindle since the last go may be none of this coil's: it was left by a word, or something
    else was counted since."""
    own, others = 0, 0
    for entry in record.store.landmarks(record.number):
        if entry.kind in ("count", "strip count"):
            if entry.kind == "count" and entry.body.get("winding") == record.winding:
                own = entry.seq
            else:
                others = entry.seq
    return state.left_in_order or others > own


def take_up(
    record: WindingRecord, instrument: Counter, state: WindingState, start: float | None
) -> tuple[WindingState, str]:
    """Bring the counter to where the coil stands; the state to go on from, and what there is to say of it."""
    name = record.winding
    if start is not None:
        if state.begun and state.counter is not None and _fits(instrument, state):
            raise BadInput(
                f"{name}: {state.turns:.2f} turns are recorded; without --from it goes on from them, s sets the count"
            )
        # A typed position, a correction: it stands from the first line on.
        body = {"turns": start, "reason": "--from", "taking_off": False}
        record.keep("correction", body)
        instrument.set_count(start, "--from")
        return state.after("correction", body), ""
    said = ""
    if not state.begun:
        instrument.set_count(0.0, "a new winding")
    elif state.counter is None:
        # The last that is known was typed by hand: the counter takes over from there.
        typed = {"turns": state.turns, "low": bound(state.low), "high": bound(state.high)}
        record.keep("correction", {**typed, "reason": "as typed", "taking_off": False})
        if state.hold is not None:
            record.keep("hold", {**typed, "held": False})
        instrument.set_count(state.turns, "as typed")
        if state.turns or state.counted:
            said = f"{name}: going on from {state.turns:g} turns as typed"
    else:
        try:
            instrument.restore(state.counter)
        except ValueError as problem:
            raise BadInput(
                f"{name}: {state.turns:.2f} turns are recorded from another counter ({problem}); "
                "say how many are on the former with --from TURNS"
            ) from None
        on_hold = ", on hold" if state.hold is not None else ""
        waiting = f"; not done yet: {', '.join(state.waiting)}" if state.waiting else ""
        said = f"{name}: going on from {state.turns:.2f} turns as recorded{on_hold}{waiting}"
    return state, said


def _fits(instrument: Counter, state: WindingState) -> bool:
    """Whether what is recorded is of this form of counter; a counter that was not opened for it stays as it is."""
    try:
        CountJoiner(instrument.profile).restore(state.counter or {})
    except ValueError:
        return False
    return True

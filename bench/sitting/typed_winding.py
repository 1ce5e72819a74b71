"""One go at a winding that is counted by hand: each layer typed when it is full; for a terminal and for the window."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput
from bench.sitting.winding_record import WindingRecord
from bench.winding.bodies import bound
from bench.winding.course import course_of
from bench.winding.layers import LayerCount, read_dial, read_layer, turns_words
from bench.winding.progress import Progress, progress_of
from drivers.counting import Count

if TYPE_CHECKING:
    from bench.design.plan import WindingPlan
    from bench.job.winding import Winding

__all__ = ["TypedTurns", "TypedWinding", "past_words", "read_typed", "start_by_hand"]

_AT = 0.5


@dataclass(frozen=True)
class TypedTurns:
    """turns: that this entry adds, negative for turns taken back;  dial: a machine's own counter showed them;  text: as
    it was typed;  after: the count with it;  falls: a dial shows less than before, which it hardly does where no digit
    slipped."""

    turns: float
    dial: bool
    text: str
    after: LayerCount
    falls: bool = False


def read_typed(count: LayerCount, text: str) -> TypedTurns:
    """`84` turns of a layer, `-3` taken back, `=412` on a dial; after a dial a plain number is one too.  Raises
    ValueError."""
    as_dial = count.by_dial and not text.lstrip().startswith("=")
    dial = read_dial(f"={text}" if as_dial else text)
    if dial is not None:
        return TypedTurns(dial - count.turns, True, text, count.with_dial(dial), falls=dial < count.turns)
    turns = read_layer(text, count.target, count.turns)
    return TypedTurns(turns, False, text, count.with_layer(turns))


def past_words(count: LayerCount) -> str:
    """What is to be done with turns past the target; empty where there are none."""
    over = count.turns - count.target
    if over <= 0:
        return ""
    what = f"{turns_words(over)} past the target of {count.target}: take {'it' if over == 1 else 'them'} back"
    return f"{what} {f'until the dial shows {count.target}' if count.by_dial else f'and type {-over:g}'}"


def start_by_hand(record: WindingRecord, start: float) -> None:
    """Turns that are on already, typed; raises BadInput where a count is kept."""
    state = record.state
    if state.begun:
        raise BadInput(
            f"{record.winding}: {state.turns:g} turns are recorded; without --from it goes on from them, "
            "and =TURNS sets them to what a dial shows"
        )
    record.keep("correction", {"turns": start, "reason": "--from", "taking_off": False})


class TypedWinding:
    """`count` as typed so far, on the disk before it is shown;  said: what there is to say of it at first."""

    def __init__(self, record: WindingRecord, winding: Winding, target: int, plan: WindingPlan | None) -> None:
        self._record, self._winding, self._target, self._plan = record, winding, target, plan
        state = record.state
        said = []
        self.count = LayerCount(winding, target, state.typed_layers, state.turns, state.by_dial)
        if state.counted and state.counter is not None:
            layer = course_of(winding, target, plan).layer_at(state.turns)
            self.count = LayerCount(winding, target, 0 if layer is None else layer[0] - 1, state.turns)
            said.append(f"{winding.name}: going on from {self.count.turns:g} turns as counted")
        elif state.begun and (self.count.layers_done or self.count.turns):
            said.append(f"{winding.name}: going on from {self.count.standing()}")
        said.append(record.begin(state, target, "hand"))
        self.said = tuple(words for words in said if words)

    def keep(self, typed: TypedTurns) -> None:
        """One more entry; raises RecordProblem, and then the count stands as it was."""
        self._record.keep(
            "layer", {"turns": typed.turns, "total": typed.after.turns, "text": typed.text, "dial": typed.dial}
        )
        self.count = typed.after

    def finish(self) -> tuple[float, float]:
        """The target is met; the turns on the coil, between low and high where a counter was not sure of some."""
        state = self._record.state
        body = {"turns": self.count.turns, "low": bound(state.low), "high": bound(state.high)}
        self._record.keep("winding done", {**body, "target": self._target, "layer_ends": list(state.layer_ends)})
        return state.low, state.high

    def progress(self, at: float) -> Progress:
        """As a counter's; what is to be done where it stands just now waits; at [s, monotonic]."""
        state = self._record.state
        # what is typed is a place where somebody stopped: no speed
        count = Count(self.count.turns, state.low, state.high, 0.0, at)
        course = course_of(self._winding, self._target, self._plan, state.layer_ends)
        here = tuple(mark.name for mark in course.marks if abs(mark.turn - count.turns) < _AT)
        return progress_of(self._winding, self._target, count, course, waiting=here)

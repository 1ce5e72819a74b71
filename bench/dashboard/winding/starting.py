"""What can be done before a winding: choose it, choose what counts it, say what is on already, begin."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.choice import standing_words
from bench.dashboard.winding.counter_choice import HAND_NAME
from bench.dashboard.work.typed_winding_work import TypedWindingWork
from bench.dashboard.work.winding_work import WindingWork
from bench.sitting.opening import HAND
from bench.sitting.problems import BadInput
from bench.winding.layers import read_turns
from drivers.ports import list_ports

if TYPE_CHECKING:
    from bench.dashboard.winding.face import WindingFace
    from bench.job.winding import Winding

__all__ = ["Starting", "missing_under"]

_MOST_ON = 100_000.0


class Starting:
    """offer: what can be done is another now."""

    def __init__(self, desk: Desk, face: WindingFace, offer: Callable[[], None]) -> None:
        self._desk, self._page, self._put, self._offer = desk, face.start, face.put, offer
        self._page.counters.use_bench(desk.bench.counter)
        self._page.choice.chosen.connect(self._chosen)
        self._page.counters.picked.connect(self._counter_chosen)
        if self._page.counter:
            desk.choose_counter(self._page.counter)

    def look_for_ports(self) -> None:
        """Beside the window: asking the system takes a while."""
        self._desk.reckon("ports", list_ports)

    def acts(self) -> tuple[Act, ...]:
        choice, winding = self._page.choice, self._page.choice.winding
        others = (
            Act("C", "next counter", self._next_counter),
            Act("T", "type a counter", Question(("counter",), self._use_counter, self._page.counters.names())),
            Act("F", "turns on already", Question(("turns that are on already",), self._start_from)),
            Act("Down", "next", partial(choice.step, 1)),
            Act("Up", "before", partial(choice.step, -1)),
            Act("P", "look for ports", self.look_for_ports),
        )
        if winding is None or winding.turns is None:
            return others
        return (self._begin_act(winding), *others)

    def _begin_act(self, winding: Winding) -> Act:
        state, start = self._page.choice.state, self._page.start
        if state is not None and state.done is not None and not state.begun and start is None:
            return Act("A", f"wind {winding.name} anew", partial(self._begin, True), large=True)
        words = f"begin {winding.name}"
        if start is not None:
            words = f"{winding.name} from {start:g}"
        elif state is not None and state.begun:
            words = f"go on with {winding.name}"
        return Act("Return", words, partial(self._begin, False), strong=True, large=True)

    def _chosen(self) -> None:
        """What is on already was said of another winding."""
        self._page.start_from(None)
        self._offer()

    def _next_counter(self) -> None:
        self._page.counters.step(1)
        self._counter_chosen()

    def _counter_chosen(self) -> None:
        self._desk.choose_counter(self._page.counter)
        self._offer()

    def _start_from(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            self._page.start_from(None)
            self._offer()
            return ""
        try:
            turns = read_turns(answers[0])
        except ValueError as problem:
            return str(problem)
        if not 0 <= turns <= _MOST_ON:
            return f"{turns:g} turns, expected from 0 to {_MOST_ON:g}"
        self._page.start_from(turns)
        self._offer()
        return ""

    def _use_counter(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return f"expected PROFILE@PORT, a name, or {HAND_NAME}"
        self._page.use_counter(answers[0])
        self._counter_chosen()
        return ""

    def _begin(self, again: bool, *, over_all: bool = False) -> None:
        page, state = self._page, self._desk.state
        winding = page.choice.winding
        if winding is None or state.job is None or state.path is None:
            return
        missing = "" if over_all else missing_under(winding.name, state)
        if missing:
            words = f"{missing}. Is {winding.name} wound over that? yes or no"
            self._put(Question((words,), partial(self._begin_over, again), ("yes", "no")))
            return
        if not page.counter:
            use = partial(self._use_and_begin, again, over_all)
            self._put(Question(("counter",), use, page.counters.names()))
            return
        by_hand = page.counter == HAND or any(
            one.name == page.counter and one.use == HAND for one in self._desk.bench.counter
        )
        work: WindingWork | TypedWindingWork
        if by_hand:
            work = TypedWindingWork(state.path, state.job, winding.name, again=again, start=page.start)
        else:
            work = WindingWork(
                state.path, state.job, self._desk.bench, winding.name, page.counter, again=again, start=page.start
            )
        try:
            self._desk.begin(work)
        except BadInput as problem:
            self._desk.tell(str(problem), grave=True)
            return
        page.start_from(None)

    def _begin_over(self, again: bool, answers: tuple[str, ...]) -> str:
        said = answers[0].strip().lower()
        if said not in ("yes", "y", "no", "n", ""):
            return "expected yes or no"
        if said in ("yes", "y"):
            self._begin(again, over_all=True)
        return ""

    def _use_and_begin(self, again: bool, over_all: bool, answers: tuple[str, ...]) -> str:
        problem = self._use_counter(answers)
        if not problem:
            self._begin(again, over_all=over_all)
        return problem


def missing_under(name: str, state: Snapshot) -> str:
    """What lies under a winding that is begun now and is not finished by the record; empty where all of it is, where
    the record knows nothing of any winding, and where the winding itself was begun before."""
    if state.job is None:
        return ""
    states = {one.winding: one for one in state.windings}
    own = states.get(name)
    if own is not None and own.begun:
        return ""
    inner = [one.name for one in state.job.winding[: [one.name for one in state.job.winding].index(name)]]
    left = [one for one in inner if one not in states or states[one].begun or states[one].done is None]
    if not any(one.begun or one.done is not None for one in state.windings):
        return ""
    return "; ".join(f"{one} is {standing_words(states.get(one))[0]}" for one in left)

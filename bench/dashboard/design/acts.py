"""What can be done at the design: set what is asked, search, take the design over into the job file."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.work.write_work import WriteWork
from bench.job.edit import write_values
from bench.sitting import design_search
from bench.sitting.design_targets import AskedTarget, asked_targets, typed_target
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.dashboard.design.face import DesignFace

__all__ = ["DesignActs"]

_MOST_STRANDS = 4


class DesignActs:
    """Between the face and the desk."""

    def __init__(self, desk: Desk, face: DesignFace) -> None:
        self._desk, self._face = desk, face
        face.asked.chosen.connect(self._offer)

    def show_state(self, state: Snapshot) -> None:
        """Offer what can be done."""
        self._offer()

    def _offer(self) -> None:
        job, of = self._desk.state.job, self._face.reckoning
        if job is None or not job.winding:
            self._face.offer(())
            return
        shown = of.shown
        found = shown is not None and shown.found is not None and not of.under_way
        acts = []
        if found:
            acts.append(Act("W", "write it into the job file", self._write_design, strong=True))
        asked = self._chosen()
        if asked is not None:
            does = Question(asked.asks, partial(self._typed, asked), asked.choices)
            acts.append(Act("Return", f"set {asked.words}", does))
        if shown is None or not shown.needs:
            acts.append(Act("S", "search", self._search, strong=not found))
        if of.searching:
            acts.append(Act("Escape", "back to the job as it is", self._back))
        asks = (f"wires in hand at most, 1 to {_MOST_STRANDS}",)
        acts += [
            Act("H", f"at most {of.strands} in hand", Question(asks, self._use_strands)),
            Act("Down", "next", partial(self._face.asked.step, 1)),
            Act("Up", "before", partial(self._face.asked.step, -1)),
        ]
        self._face.offer(tuple(acts))

    def _chosen(self) -> AskedTarget | None:
        job, row = self._desk.state.job, self._face.asked.row
        if job is None or row is None:
            return None
        return next((one for one in asked_targets(job) if one.key == row.key), None)

    # -- what is asked -----------------------------------------------------------------------------

    def _typed(self, asked: AskedTarget, answers: tuple[str, ...]) -> str:
        """What is wrong with it; else it is written, and the search follows it."""
        state = self._desk.state
        if state.job is None or state.path is None:
            return "no job is open"
        try:
            change = typed_target(state.job, asked, answers)
        except ValueError as problem:
            return str(problem)
        write = partial(write_values, state.path, state.text, change.targets, change.windings, change.loads)
        refused = self._begin(WriteWork(state.path, write, change.words))
        if not refused:
            self._search()
        return refused

    # -- the search --------------------------------------------------------------------------------

    def _search(self) -> None:
        self._face.reckoning.searching = True
        self._face.draw_anew()

    def _back(self) -> None:
        self._face.reckoning.searching = False
        self._face.draw_anew()

    def _use_strands(self, answers: tuple[str, ...]) -> str:
        if not (answers[0].isascii() and answers[0].isdigit() and 1 <= int(answers[0]) <= _MOST_STRANDS):
            return f"{answers[0][:40]!r}: expected a whole number from 1 to {_MOST_STRANDS}"
        self._face.reckoning.strands = int(answers[0])
        self._search()
        return ""

    def _write_design(self) -> None:
        state, shown = self._desk.state, self._face.reckoning.shown
        if state.path is None or shown is None or shown.found is None or self._face.reckoning.under_way:
            return
        found = shown.found
        write = partial(design_search.write, state.path, state.text, found)
        turns = ", ".join(f"{name} {turns}" for name, turns in found.design.turns.items())
        if not self._begin(WriteWork(state.path, write, f"the design, {turns} turns")):
            self._back()

    def _begin(self, work: WriteWork) -> str:
        try:
            self._desk.begin(work)
        except BadInput as problem:
            words = f"not written: {work.words}: {problem}"
            self._desk.tell(words, grave=True)
            return words
        return ""

"""Keeps what the design face draws up with the job file, and remembers what it drew before, to show what changed."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from bench.dashboard.design.reckoned import DesignShown, Key, OnLoadShown, design_shown, on_load_shown
from bench.dashboard.desk import Desk
from bench.dashboard.state import Snapshot
from bench.job.model import Job
from bench.sitting.design_search import is_due

__all__ = ["DesignReckoning"]

_DESIGN, _ON_LOAD = "design", "design on load"


class DesignReckoning:
    """searching: whether a search is looked at, in place of the job as it stands;  strands: wires in hand at most."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._asked: Key | None = None
        self._of: object = None
        self._old: object = None
        self.searching = False
        self.strands = 2
        self.shown: DesignShown | None = None
        self.on_load: OnLoadShown | None = None
        self.before: tuple[DesignShown, OnLoadShown | None] | None = None
        self.problem = ""

    @property
    def under_way(self) -> bool:
        """Whether what is shown is not yet what was asked for."""
        return not self.problem and (self.shown is None or self.shown.key != self._asked)

    def follow(self, state: Snapshot) -> None:
        """Ask for what is not known yet, take in what came."""
        if state.job is None or state.path is None:
            self._asked = self._of = self.shown = self.on_load = self.before = None
            return
        if self._of != (state.path, state.job.identity.number):
            self._of = (state.path, state.job.identity.number)
            self.shown = self.on_load = self.before = None
            self.searching = False
        searching = self.searching or is_due(state.job)
        key: Key = (state.path, state.text, searching, self.strands)
        if key != self._asked:
            self._asked, self.problem = key, ""
            self._old = state.reckoned.get(_DESIGN)
            reckon = partial(
                design_shown, state.job, state.path, self._desk.bench, key, self.strands, searching=searching
            )
            self._desk.reckon(_DESIGN, reckon)
        self._take(state.reckoned.get(_DESIGN), state.reckoned.get(_ON_LOAD))

    def _take(self, design: Any, on_load: Any) -> None:
        found = None if design is None else design.value
        if isinstance(found, DesignShown) and found.key == self._asked and found is not self.shown:
            same = self.shown is not None and _drawn(self.shown.job) == _drawn(found.job)
            if self.shown is not None and not same:
                self.before = (self.shown, self.on_load)
            self.shown = found
            if same and self.on_load is not None:
                self.on_load = replace(self.on_load, key=found.key)
            else:
                self.on_load = None
                if found.plan is not None:
                    self._desk.reckon(_ON_LOAD, partial(on_load_shown, found.job, found.key))
        elif design is not None and found is None and design is not self._old:
            self.problem = design.problem
        loaded = None if on_load is None else on_load.value
        if isinstance(loaded, OnLoadShown) and self.shown is not None and loaded.key == self.shown.key:
            self.on_load = loaded


def _drawn(job: Job) -> tuple[object, ...]:
    """What figures hang on."""
    return job.winding, job.core, job.supply, job.load, job.screen, job.insulation, job.targets

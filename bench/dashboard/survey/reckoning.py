"""Keeps what the survey face draws up with the job file and the record, whoever writes them."""

from __future__ import annotations

from functools import partial

from bench.dashboard.desk import Desk
from bench.dashboard.state import Snapshot
from bench.dashboard.survey.reckoned import Key, SurveyShown, survey_shown
from bench.records.home import store_path

__all__ = ["SurveyReckoning"]

_QUICK, _WHOLE = "survey", "survey with its curve"
_LOOK_EVERY_S = 1.0


class SurveyReckoning:
    """A command beside the window may enter something too: the record is looked at each second, and never for longer
    than it takes to see whether it changed."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._asked: Key | None = None
        self._of: object = None
        self._old: dict[str, object] = {}
        self._shown: SurveyShown | None = None
        self._stamp: tuple[object, ...] = ()
        self._looked = float("-inf")
        self.problem = ""

    def follow(self, state: Snapshot, now: float) -> SurveyShown | None:
        """What stands now, of the newest that was worked out for this job; None while there is none."""
        if state.job is None:
            self._asked = self._shown = self._of = None
            return None
        if self._of != (state.path, state.job.identity.number):
            self._of, self._shown = (state.path, state.job.identity.number), None
        if now - self._looked >= _LOOK_EVERY_S and not state.doing:
            self._looked, self._stamp = now, _stamp()
        key: Key = (*self._of, state.text, self._stamp)
        if key != self._asked and not state.doing:
            self._asked = key
            self._old = {name: state.reckoned.get(name) for name in (_QUICK, _WHOLE)}
            job, bench = state.job, self._desk.bench
            self._desk.reckon(_QUICK, partial(survey_shown, job, bench, key, curve=False))
            self._desk.reckon(_WHOLE, partial(survey_shown, job, bench, key, curve=True))
        self.problem = ""
        for name in (_QUICK, _WHOLE):
            found = state.reckoned.get(name)
            if found is None or found is self._old.get(name):
                continue
            if isinstance(found.value, SurveyShown):
                if found.value.key == self._asked:
                    self._shown = found.value
            else:
                self.problem = found.problem
        return self._shown

    def look_again(self) -> None:
        """What was kept just now is to be seen at once."""
        self._looked = float("-inf")


def _stamp() -> tuple[object, ...]:
    path = store_path()
    stamps: list[object] = []
    for one in (path, path.with_name(path.name + "-wal")):
        try:
            found = one.stat()
            stamps.append((found.st_mtime_ns, found.st_size))
        except OSError:
            stamps.append(None)
    return tuple(stamps)

"""Which job of the record is looked at, and which line of its history."""

from __future__ import annotations

from bench.acceptance.decision import Verdict
from bench.dashboard.parts.look import Ink, Shape, ink_of_verdict, shape_of_verdict
from bench.dashboard.record.rows import Row
from bench.records.moments import day
from bench.sitting.history import History, Line
from bench.sitting.jobs_known import JobLine, find

__all__ = ["RecordChoice", "sign_of_verdict"]


def sign_of_verdict(verdict: str) -> tuple[Shape, Ink]:
    """A verdict as it is kept; no sign for none, or one that a later version wrote."""
    try:
        kept = Verdict(verdict)
    except ValueError:
        return Shape.NONE, Ink.QUIET
    return shape_of_verdict(kept), ink_of_verdict(kept)[0]


class RecordChoice:
    """reading: whether up and down go through the history and not through the jobs."""

    def __init__(self) -> None:
        self.jobs: tuple[JobLine, ...] = ()
        self.query = ""
        self.number = ""
        self.here = ""
        self.reading = False
        self.history: History | None = None
        self._seq = 0

    # -- jobs --------------------------------------------------------------------------------------

    @property
    def found(self) -> tuple[JobLine, ...]:
        """The jobs that the search leaves."""
        return find(self.jobs, self.query)

    @property
    def job(self) -> JobLine | None:
        """The one that is looked at."""
        return next((one for one in self.jobs if one.number == self.number), None)

    def take_jobs(self, jobs: tuple[JobLine, ...], here: JobLine | None) -> None:
        """here: the job that is open; it is among them though nothing of it is kept yet."""
        self.here = "" if here is None else here.number
        known = any(one.number == self.here for one in jobs)
        self.jobs = jobs if here is None or known else (here, *jobs)
        self.number = self.number or self.here
        self._stay_among_found()

    def seek(self, query: str) -> None:
        self.query = query
        self._stay_among_found()

    def choose(self, place: int) -> None:
        if 0 <= place < len(self.found):
            self.number, self.reading = self.found[place].number, False

    def choose_number(self, number: str) -> None:
        self.number, self.reading = number, False

    def place(self) -> int:
        """Of the job among those found; -1 for none."""
        return next((place for place, one in enumerate(self.found) if one.number == self.number), -1)

    def _stay_among_found(self) -> None:
        if self.found and self.place() < 0:
            self.number = self.found[0].number

    # -- history -----------------------------------------------------------------------------------

    def take_history(self, history: History) -> None:
        if history.number == self.number:
            if self.history is None or self.history.number != history.number:
                self._seq = 0
            self.history = history

    @property
    def lines(self) -> tuple[Line, ...]:
        """Of the job that is looked at, newest first."""
        return self.history.lines if self.history is not None and self.history.number == self.number else ()

    @property
    def line(self) -> Line | None:
        """The line that is looked at: the newest until somebody goes on."""
        return next((one for one in self.lines if one.last == self._seq), self.lines[0] if self.lines else None)

    def move(self, by: int) -> None:
        """Through the jobs, or through the history; stays at the ends."""
        if not self.reading:
            found = self.found
            if found:
                self.choose(min(len(found) - 1, max(0, self.place() + by)))
            return
        lines, line = self.lines, self.line
        if line is not None:
            self._seq = lines[min(len(lines) - 1, max(0, lines.index(line) + by))].last

    def go_to_line(self, line: Line) -> None:
        self.reading, self._seq = True, line.last

    def wants_more(self, ahead: int) -> bool:
        """Whether older entries are to be read soon."""
        line = self.line
        if self.history is None or self.history.whole or line is None:
            return False
        return self.lines.index(line) >= len(self.lines) - ahead

    # -- as rows -----------------------------------------------------------------------------------

    def job_rows(self) -> tuple[Row, ...]:
        return tuple(_row_of(one, self.here) for one in self.found)

    def history_rows(self) -> tuple[tuple[Row, Line | None], ...]:
        """A heading wherever what was done, or the day, is another."""
        rows: list[tuple[Row, Line | None]] = []
        before: tuple[str, str] = ("", "")
        for line in self.lines:
            group = (str(line.topic), day(line.at))
            if group != before:
                rows.append((Row(group[0], tail=group[1], heading=True), None))
                before = group
            shape, ink = sign_of_verdict(line.verdict)
            if line.warned:
                shape, ink = Shape.BANG, Ink.BAD
            rows.append((Row(line.words, tail=line.at[11:16], shape=shape, ink=ink), line))
        return tuple(rows)


def _row_of(one: JobLine, here: str) -> Row:
    shape, ink = sign_of_verdict(one.verdict)
    verdict = one.verdict or "not tested"
    under = f"{verdict}; {one.last} {day(one.at)}" if one.at else "nothing kept yet"
    if one.name:
        under = f"{under}; {one.name}"
    tail = "open here" if one.number == here else ""
    return Row(one.number, tail=tail, under=under, shape=shape if one.verdict else Shape.RING, ink=ink)

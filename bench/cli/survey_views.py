"""A survey on a terminal, and a winding that comes off, live and as JSON lines."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TextIO

from bench.cli.survey_next import next_command, recount_lines
from bench.cli.winding_views import event_words
from bench.sitting.coming_off import expected_json
from bench.sitting.inert_text import Own, inert_text
from bench.winding.bodies import bound, event_object
from bench.winding.layers import turns_words
from drivers.counting import BadLine

if TYPE_CHECKING:
    from bench.sitting.survey_known import KnownSoFar
    from bench.survey.interval import Interval
    from bench.survey.stripping import Stripping
    from bench.survey.survey import Survey

__all__ = [
    "READ_FIRST",
    "JsonStripView",
    "StripView",
    "TerminalStripView",
    "count_words",
    "stripped_document",
    "stripped_lines",
    "survey_document",
    "survey_lines",
]

_DISAGREES = "What disagrees"

READ_FIRST = (
    "1  the windings, inside first, with what the plate says of each",
    "2  insulation resistance of every winding to all the rest and the core, before anything is fed",
    "3  resistance of every winding, with the temperature of its copper",
    "4  open-circuit volts of every winding WITH the volts on the fed winding at the same moment, "
    "from a low voltage up, through a limiter",
    "5  exciting current at several volts, rising",
)
"""What is read before a unit is stripped, in the order of least risk (common practice, no source)."""


def survey_lines(known: KnownSoFar, job_file: str, only: Callable[[str], bool] = lambda heading: True) -> list[str]:
    """The survey as a restorer would say it; `only` chooses paragraphs by their headings."""
    from bench.survey.sentences import says

    if known.survey is None:
        return ["Nothing is known of this unit as found. What to read, in this order:", *READ_FIRST]
    lines = []
    for paragraph in says(known.survey):
        if only(paragraph.heading):
            lines += ["", paragraph.heading, *(f"  {line}" for line in paragraph.lines)]
        if only(paragraph.heading) and paragraph.heading == _DISAGREES:
            lines += [f"  {line}" for line in recount_lines(known, job_file)]
    if only(""):
        lines += [f"left out: {line}" for line in known.gathered.left_out]
    return lines[1:] if lines and not lines[0] else lines


def survey_document(number: str, known: KnownSoFar) -> dict[str, Any]:
    """One JSON document, schema 1."""
    if known.survey is None:
        return {"schema": 1, "job": number, "survey": None, "read_first": [line[3:] for line in READ_FIRST]}
    survey: Survey = known.survey
    standing = {"whole": survey.whole, "disagrees": survey.disagrees, "left_out": list(known.gathered.left_out)}
    return {**survey.as_json(), **standing}


def stripped_lines(known: KnownSoFar, body: dict[str, Any], job_file: str) -> list[str]:
    """What the count of a winding that is off means, and what to expect of the next one."""
    from bench.survey.sentences import expectation_line

    doubt = f" ± {body['within']:.2g}" if body["within"] else ""
    lines = [f"{body['winding']}: off whole, {body['turns']:g}{doubt} turns ({body['how']})", ""]
    lines += survey_lines(known, job_file, lambda heading: heading in ("Windings", _DISAGREES))
    survey = known.survey
    if survey is not None and survey.next_winding is not None:
        lines += ["", f"next: {expectation_line(survey, survey.winding(survey.next_winding))}"]
        lines.append(f"next: {next_command(known, job_file)}")
    return lines


def stripped_document(number: str, known: KnownSoFar, body: dict[str, Any]) -> dict[str, Any]:
    """The last JSON line of a winding that is off."""
    result = {key: body[key] for key in ("winding", "turns", "low", "high", "within", "how", "goes")}
    return {"schema": 1, "result": result, "survey": survey_document(number, known)}


def count_words(state: Stripping) -> str:
    """How many are off, with where the truth lies where that is not one number."""
    if state.certain:
        return turns_words(state.off)
    if not state.bounded:
        return f"{state.off:.1f} turns, and the count is lost: type how many with --from TURNS"
    return f"{state.off:.1f} turns, between {state.low:.1f} and {state.high:.1f}"


class TerminalStripView:
    """One line that is written over where the terminal can, a line a hundred turns where it can't."""

    def __init__(
        self,
        out: TextIO,
        expected: Interval | None,
        *,
        live: bool,
        columns: Callable[[], int] = lambda: shutil.get_terminal_size().columns,
    ) -> None:
        self._out = out
        self._expected = expected
        self._live = live
        self._columns = columns
        self._told_bad = False
        self._said: tuple[object, ...] | None = None

    def moved(self, state: Stripping, speed: float | None) -> None:
        self._told_bad = False
        turning = "" if speed is None else f"  {abs(speed) * 60:5.0f} rpm"
        line = f"{state.winding}  {self._standing(state)}{turning}"
        if self._live:
            # A line that wraps can't be written over: it would fill the screen with its remains.
            self._out.write(Own(f"\r\x1b[K{inert_text(line[: self._columns() - 1])}"))
            self._out.flush()
            return
        now = (int(state.off // 100), state.certain)
        if now != self._said:
            self._said = now
            self._out.write(line + "\n")
            self._out.flush()

    def _standing(self, state: Stripping) -> str:
        words = f"off {state.off:8.1f}"
        if not state.bounded:
            words += "  count lost"
        elif not state.certain:
            words += f" (between {state.low:.1f} and {state.high:.1f})"
        expected = self._expected
        if expected is None:
            return words
        to_go = expected.value - state.off
        left = f"to go {to_go:7.1f}" if state.off <= expected.high else f"{-to_go:.1f} past what was expected"
        return f"{words} of {expected.value:.1f} ±{expected.expanded:.1f}  {left}"

    def count_event(self, event: Any) -> None:
        if isinstance(event, BadLine):
            # With the wrong profile no line fits: once is enough until one does.
            if self._told_bad:
                return
            self._told_bad = True
        self.said(f"   {event_words(event)}")

    def said(self, line: str) -> None:
        """A line of its own, past the one that is written over."""
        before = "\r\x1b[K" if self._live else ""
        self._out.write(Own(f"{before}{inert_text(line)}\n"))
        self._out.flush()

    def rested(self, state: Stripping) -> None:
        """The spindle stands: a speed of some seconds ago would say otherwise."""
        if self._live:
            self.moved(state, 0.0)

    def ended(self) -> None:
        """The line that is written over stays; what is asked next has a line of its own."""
        if self._live:
            self._out.write("\n")
            self._out.flush()


class JsonStripView:
    """JSON lines, one for each change."""

    def __init__(self, out: TextIO, expected: Interval | None) -> None:
        self._out = out
        self._expected = expected

    def moved(self, state: Stripping, speed: float | None) -> None:
        expected = self._expected
        self.wrote(
            {
                "winding": state.winding,
                "off": state.off,
                "low": bound(state.low) if state.bounded else None,
                "high": bound(state.high),
                "goes": state.goes,
                "expected": expected_json(expected),
                "to_go": None if expected is None else expected.value - state.off,
                "speed": None if speed is None else round(speed, 3),
            }
        )

    def count_event(self, event: Any) -> None:
        self.wrote(event_object(event))

    def said(self, line: str) -> None:
        """What is said to a person has its place in the data."""

    def rested(self, state: Stripping) -> None:
        """A line is a change of the count."""

    def ended(self) -> None:
        """Nothing is left half written."""

    def wrote(self, fields: dict[str, Any]) -> None:
        self._out.write(json.dumps({"schema": 1, **fields}) + "\n")
        self._out.flush()


StripView = TerminalStripView | JsonStripView

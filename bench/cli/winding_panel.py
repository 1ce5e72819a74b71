"""A winding in progress on a whole terminal: the count large, then how far, then what comes next, and the keys."""

from __future__ import annotations

import math
import os
import shutil
import textwrap
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TextIO

from bench.cli.big_figures import big_figures
from bench.cli.winding_views import AT_REST_AFTER, event_words, interval_words
from bench.design.plan import PlannedWinding
from bench.job.winding import Winding
from bench.sitting.inert_text import Own, inert_text
from bench.winding.finding_out import ways_to_find_out
from bench.winding.orders import KEYS
from bench.winding.progress import Progress, Standing
from bench.winding.sides import WindingResult
from drivers.counting import BadLine, LinkCameBack, LinkWentAway

__all__ = ["Panel", "PanelText", "panel_lines"]

_BOLD, _REVERSE, _PLAIN = "\x1b[1m", "\x1b[7m", "\x1b[0m"
_ENTER, _LEAVE = "\x1b[?1049h\x1b[?25l", "\x1b[?25h\x1b[?1049l"
_KEY_LINE = "space done/hold/go on  s set  b back  l layer full  e end  q leave  ? keys"
_LEAST_FIGURES = 5
_SAID_S = 12.0
_HAPPENINGS = 2
_USUAL_FACTS = 6
"""Lines that are kept free of figures, so that these keep their size when something is waited for."""
_Line = tuple[str, str]
_MARKED = {
    Standing.AT_TARGET: "= AT TARGET =",
    Standing.PAST: "! PAST THE TARGET: take turns back",
    Standing.UNSURE: "? COUNT UNSURE",
    Standing.HELD: "|| ON HOLD",
    Standing.NEARLY: "> NEARLY THERE",
}


@dataclass(frozen=True)
class PanelText:
    """What stands on the panel beside the progress: happened, newest last;  prompt: what is typed just now, empty for
    nothing;  said: what came of the last key;  away: no line comes from the counter;  help: the keys are explained."""

    title: str
    happened: tuple[str, ...] = ()
    prompt: str = ""
    said: str = ""
    away: bool = False
    help: bool = False


def panel_lines(
    progress: Progress | None, text: PanelText, planned: PlannedWinding | None, columns: int, rows: int
) -> list[str]:
    """`rows` lines of at most `columns`, with signs of emphasis around some; the figures get what the rest leaves."""
    happened = text.happened[-_HAPPENINGS:]
    foot: list[_Line] = [("", one) for one in (*[""] * (_HAPPENINGS - len(happened)), *happened)]
    foot += [("", text.said), (_BOLD if text.prompt else "", text.prompt or _KEY_LINE)]
    head: list[_Line] = [(_BOLD, text.title)]
    rest: list[_Line] = [] if progress is None else _facts(progress, planned, columns)
    if text.away:
        rest.insert(0, (_REVERSE, " ? NO LINE FROM THE COUNTER: the count is its last; it is looked for "))
    if text.help:
        rest += [("", f"  {_named(key):7} {order.says}") for key, order in KEYS.items() if key != "\n"]
    if progress is None:
        head.append(("", "no count yet: is the board powered, does the profile match it?"))
    else:
        # as wide as the target, so that the figures stay in their place
        wide = len(str(progress.target)) + 2
        room = max(_LEAST_FIGURES, rows - len(head) - max(len(rest), _USUAL_FACTS) - len(foot) - 1)
        figures = big_figures(f"{progress.turns:>{wide}.1f}", columns - 2, room)
        strong = _BOLD if progress.certain and not text.away else ""
        head += [("", ""), *((strong, f"  {line}") for line in figures)]
    body = (head + rest)[: rows - len(foot)]
    body += [("", "")] * (rows - len(foot) - len(body))
    return [f"{sign}{inert_text(line[:columns])}{_PLAIN if sign else ''}" for sign, line in [*body, *foot]]


def _facts(progress: Progress, planned: PlannedWinding | None, columns: int) -> list[_Line]:
    in_hand = f", {progress.strands} in hand" if progress.strands > 1 else ""
    lines: list[_Line] = [
        ("", f"  of {progress.target} turns{in_hand}{'' if progress.certain else '   (not certain)'}")
    ]
    mark = _MARKED.get(progress.standing)
    if mark is not None:
        lines.append((_REVERSE, f" {mark} "))
    if progress.taking_off:
        lines.append((_REVERSE, " < TURNS COME OFF: o ends that "))
    if progress.held and abs(progress.left_out) >= 0.05:
        lines.append(("", f"  the spindle turned {progress.left_out:+.1f} on hold: space leaves that out, a adds it"))
    if not progress.certain:
        unbounded = math.isinf(progress.low) or math.isinf(progress.high)
        where = "bounded by nothing" if unbounded else interval_words(progress.low, progress.high, 1)
        lines.append((_BOLD, f"  the count is {where}; to find out, then s:"))
        lines += [("", f"    {way}") for way in ways_to_find_out(progress, planned)]
    for one in progress.waiting[:2]:
        do = f": {', '.join(one.do)}" if one.do else ""
        lines += [(_REVERSE, f" {line} ") for line in _broken(f"NOW [space: done]  {one.name}{do}", columns - 2)]
    if len(progress.waiting) > 2:
        lines.append(("", f"      and {len(progress.waiting) - 2} more behind"))
    lines.append((_BOLD, f"  to go  {_to_go(progress)}"))
    if progress.layer is not None:
        share = progress.turn_in_layer / progress.turns_of_layer if progress.turns_of_layer else 0.0
        wide = max(10, min(40, columns - 40))
        filled = round(max(0.0, min(1.0, share)) * wide)
        bar = f"[{'#' * filled}{'-' * (wide - filled)}]"
        turns = f"{progress.turn_in_layer:.1f} of {progress.turns_of_layer}"
        lines.append(("", f"  layer {progress.layer} of {progress.layers}  {bar}  {turns}"))
    lines += [(_BOLD if progress.near else "", line) for line in _broken(f"  next   {_next(progress)}", columns)]
    return lines


def _broken(text: str, columns: int) -> list[str]:
    """Between words; what goes on is set in."""
    return textwrap.wrap(text, columns, subsequent_indent=" " * 9, drop_whitespace=False, break_on_hyphens=False)


def _to_go(progress: Progress) -> str:
    turns = f"{progress.to_go:.1f}" if progress.to_go >= 0 else f"{-progress.to_go:.1f} too many"
    pace = f"   {abs(progress.speed) * 60:.0f} rpm{' back' if progress.speed < -0.01 else ''}"
    seconds = progress.seconds_to_go
    if seconds is None:
        return turns + pace
    minutes, rest = divmod(round(seconds), 60)
    time_to_go = f"{minutes} min {rest:02} s" if minutes else f"{rest} s"
    return f"{turns}   about {time_to_go}{pace}"


def _next(progress: Progress) -> str:
    mark = progress.next_mark
    do = f": {', '.join(mark.do)}" if mark is not None and mark.do else ""
    return progress.next_event + do


def _named(key: str) -> str:
    return "space" if key == " " else key


class Panel:
    """Owns the terminal's screen from `open` to `close`; painted again only where something changed."""

    def __init__(
        self,
        out: TextIO,
        winding: Winding,
        planned: PlannedWinding | None,
        *,
        title: str,
        size: Callable[[], os.terminal_size] = shutil.get_terminal_size,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._out = out
        self._winding = winding
        self._planned = planned
        self._size = size
        self._clock = clock
        self._text = PanelText(title)
        self._progress: Progress | None = None
        self._happened: deque[str] = deque(maxlen=6)
        self._told_bad = False
        self._moved_at = self._said_until = 0.0
        self._painted: list[str] = []
        self._painted_at: tuple[int, int] = (0, 0)
        self._open = False

    def open(self) -> None:
        """Also after the program was stopped and goes on: all is painted anew."""
        self._painted = []
        self._out.write(Own(_ENTER))
        self._open = True
        self._paint()

    def close(self) -> None:
        """The screen as it was before."""
        if self._open:
            self._open = False
            self._out.write(Own(_LEAVE))
            self._out.flush()

    def progressed(self, progress: Progress) -> None:
        before = self._progress
        if before is None or (before.turns, before.left_out) != (progress.turns, progress.left_out):
            self._moved_at = self._clock()
        elif self._at_rest():
            progress = replace(progress, speed=0.0)
        self._progress = progress
        self._told_bad = False
        self._paint()

    def count_event(self, event: Any) -> None:
        if isinstance(event, BadLine):
            if self._told_bad:
                return
            self._told_bad = True
        if isinstance(event, (LinkWentAway, LinkCameBack)):
            self._text = replace(self._text, away=isinstance(event, LinkWentAway))
        self.happened(event_words(event))

    def happened(self, words: str) -> None:
        self._happened.append(words)
        self._text = replace(self._text, happened=tuple(self._happened))
        self._paint()

    def say(self, words: str) -> None:
        """What came of a key, or is to be known; for some seconds."""
        self._said_until = self._clock() + _SAID_S
        self._text = replace(self._text, said=words)
        self._paint()

    def prompt(self, words: str) -> None:
        """What is being typed; empty when nothing is."""
        self._text = replace(self._text, prompt=words)
        self._paint()

    def toggle_help(self) -> None:
        self._text = replace(self._text, help=not self._text.help)
        self._paint()

    def looked(self) -> None:
        """Nothing came for a while: a board that is silent at rest leaves its last speed behind."""
        if self._progress is not None and self._progress.speed != 0.0 and self._at_rest():
            self._progress = replace(self._progress, speed=0.0)
        if self._text.said and self._clock() > self._said_until:
            self._text = replace(self._text, said="")
        self._paint()

    def ended(self, result: WindingResult) -> None:
        """The caller closes the panel and says the rest on the screen below."""

    def _at_rest(self) -> bool:
        return self._clock() - self._moved_at >= AT_REST_AFTER

    def _paint(self) -> None:
        if not self._open:
            return
        columns, rows = self._size()
        if (columns, rows) != self._painted_at:
            self._painted, self._painted_at = [], (columns, rows)
            self._out.write(Own("\x1b[2J"))
        lines = panel_lines(self._progress, self._text, self._planned, max(20, columns - 1), max(10, rows))
        if lines == self._painted:
            return
        changed = [
            f"\x1b[{row};1H\x1b[K{line}"
            for row, line in enumerate(lines, start=1)
            if row > len(self._painted) or self._painted[row - 1] != line
        ]
        if len(lines) < len(self._painted):
            changed.append("\x1b[J")
        self._painted = lines
        self._out.write(Own("".join(changed)))
        self._out.flush()

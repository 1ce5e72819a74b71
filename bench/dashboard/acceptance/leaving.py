"""A step left out, or the test stopped: with a reason, one key each; never in the middle of a reading."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from bench.acceptance.ask import Reply, ReplyKind
from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.operators.terminal import SKIP_REASONS

if TYPE_CHECKING:
    from bench.dashboard.parts.face import Face

__all__ = ["Leaving"]

_NO_REASON = "no reason given"


class Leaving:
    """Between the keys and the answer; a stop that comes while the meter reads answers whatever is asked next."""

    def __init__(self, desk: Desk, face: Face) -> None:
        self._desk, self._face = desk, face
        self._what: ReplyKind | None = None
        self._asking = 0

    def forget(self) -> None:
        """The test is another, or over."""
        self._what = None

    def skip(self) -> None:
        """Ask for the reason of leaving this step out."""
        self._choose(ReplyKind.SKIP)

    def stop(self) -> None:
        """Ask for the reason of stopping the test."""
        self._choose(ReplyKind.STOP)

    def acts(self, state: Snapshot) -> tuple[Act, ...]:
        """The reasons, while one is to be chosen."""
        number = 0 if state.awaiting is None else state.awaiting.number
        if self._what is ReplyKind.SKIP and number != self._asking:
            self._what = None  # another step is asked for now
        if self._what is None:
            return ()
        doing = "skip it" if self._what is ReplyKind.SKIP else "stop"
        own = Question((f"why {doing}",), self._own)
        return (
            Act("Escape", f"do not {doing}", self._never_mind),
            *(
                Act(f"F{number}", f"{doing}: {reason}", partial(self._give, reason))
                for number, reason in enumerate(SKIP_REASONS, 1)
            ),
            Act(f"F{len(SKIP_REASONS) + 1}", f"{doing}: in words", own),
        )

    def _choose(self, what: ReplyKind) -> None:
        awaiting = self._desk.state.awaiting
        self._what = what
        self._asking = 0 if awaiting is None else awaiting.number

    def _never_mind(self) -> None:
        self._what = None

    def _own(self, answers: tuple[str, ...]) -> str:
        self._give(answers[0] or _NO_REASON)
        return ""

    def _give(self, reason: str) -> None:
        what, self._what = self._what, None
        awaiting = self._desk.state.awaiting
        if what is None:
            return
        if awaiting is not None and not awaiting.keyless:
            self._desk.reply(Reply(what, reason))
        elif what is ReplyKind.STOP:
            self._desk.stop(reason)
            self._desk.tell("The test stops when this reading is over: volts to zero as it asks for it.", grave=True)

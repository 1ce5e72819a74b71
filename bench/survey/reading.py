"""Reading a unit as found, as a machine without I/O: feed it answers, get the next request, until it is finished."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from bench.acceptance.requests import Confirm, Excite, Request, Skipped, Stopped, Trouble
from bench.survey.reading_context import NotRead, ReadingContext
from bench.survey.steps import IN_ORDER

__all__ = ["AsFoundReading", "ReadingDone", "ReadingSummary"]


@dataclass(frozen=True)
class ReadingSummary:
    """read: what was, in words;  not_read: with the reason;  ended: why before its end, nothing where it was not;
    trouble: whether an instrument or the supply was the reason."""

    read: tuple[str, ...]
    not_read: tuple[NotRead, ...]
    ended: str = ""
    trouble: bool = False

    def as_json(self) -> dict[str, Any]:
        return {
            "read": list(self.read),
            "not_read": [{"what": one.what, "reason": one.reason} for one in self.not_read],
            "ended": self.ended,
            "trouble": self.trouble,
        }


@dataclass(frozen=True)
class ReadingDone:
    """Nothing more to ask."""

    summary: ReadingSummary


class AsFoundReading:
    """Walks the steps in the order of least risk, and leaves nothing live on any way out.

    `start()` and `feed(answer)` return the next Request, or ReadingDone.  An answer is the typed text for Enter, a
    Reading for Take, None for the rest; or an exception for what went otherwise: Skipped, Stopped, Trouble.  A StepDone
    holds a `Kept`, to be stored before anything else happens.
    go_on_because: the recorded reason for feeding past the insulation's gate; without one nothing is fed.
    """

    def __init__(self, context: ReadingContext, go_on_because: str = "") -> None:
        self.context = context
        self._reason = go_on_because
        self._machine = self._run()

    def start(self) -> Request | ReadingDone:
        return self._advance(lambda: next(self._machine))

    def feed(self, answer: Any) -> Request | ReadingDone:
        if isinstance(answer, Exception):
            return self._advance(lambda: self._machine.throw(answer))
        return self._advance(lambda: self._machine.send(answer))

    def to_zero(self) -> Excite | None:
        """The request that takes the volts off, for whoever has to break off; None where none are on."""
        return next((one for one in self.context.switch_off("found:end") if isinstance(one, Excite)), None)

    def _advance(self, move: Callable[[], Request]) -> Request | ReadingDone:
        try:
            return move()
        except StopIteration as end:
            summary: ReadingSummary = end.value
            return ReadingDone(summary)

    def _run(self) -> Generator[Request, Any, ReadingSummary]:
        ended, trouble = "", False
        for step in IN_ORDER:
            ended = ended or self._barred(step)
            if ended:
                self.context.skip(step.WHAT, ended)
                continue
            try:
                yield from step.run(self.context)
            except Stopped as reason:
                ended = f"stopped: {reason}"
            except Skipped as reason:
                self.context.skip(step.WHAT, reason)
                if step.CAUTIONED:
                    ended = f"not confirmed: {reason}"
            except Trouble as reason:
                ended, trouble = f"trouble: {reason}", True
            # A step that ended early leaves nothing live; if even that can't be asked for, the reason stands.
            try:
                yield from self.context.switch_off("found:end")
            except (Stopped, Skipped, Trouble) as reason:
                self.context.excited = None
                ended = ended or f"volts to zero was not confirmed: {reason}"
        if self.context.ever_fed:
            try:
                yield Confirm("found:end", "Volts at zero: unplug, and let the unit discharge before a hand goes near.")
            except (Stopped, Skipped, Trouble) as reason:
                ended = ended or f"unplugged was not confirmed: {reason}"
        return ReadingSummary(tuple(self.context.read), tuple(self.context.not_read), ended, trouble)

    def _barred(self, step: ModuleType) -> str:
        if step.FEEDS and self.context.bars:  # no reason makes up for not knowing what is fed
            return "not fed: " + "; ".join(self.context.bars)
        if step.FEEDS and self.context.gates and not self._reason:
            return "not fed: " + "; ".join(self.context.gates)
        if step.MAINS and self.context.mains_bars:
            return "no mains: " + "; ".join(self.context.mains_bars)
        return ""

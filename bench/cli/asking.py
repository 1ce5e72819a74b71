"""Questions to a person at a terminal: asked again until the answer is one, doubted where it can hardly be meant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bench.sitting.reason import LEAST_LETTERS, is_reason
from bench.sitting.typed_value import is_overload, typed_value

if TYPE_CHECKING:
    from bench.cli.typed_lines import TypedLines

__all__ = ["Asking", "Kept", "Stopped"]

_WITHDRAW = ("-", "wrong")


class Stopped(Exception):
    """The person said q, or the input ended: what was read is kept."""


@dataclass(frozen=True)
class Kept:
    """A reading that stands already: how it reads, what takes it out, and what the prompt says of it."""

    words: str
    withdraw: Callable[[], None]
    told: str = "{} kept; Enter keeps it, - withdraws it"


class Asking:
    """Asks one thing at a time; every method raises Stopped."""

    def __init__(self, keyboard: TypedLines, say: Callable[[str], None]) -> None:
        self._keyboard = keyboard
        self.say = say

    def value(
        self,
        prompt: str,
        field: Any,
        *,
        bare: str = "",
        clean: Callable[[str], str] = str,
        doubt: Callable[[float], str] = lambda value: "",
        kept: Callable[[], Kept | None] = lambda: None,
        overload: Callable[[], str | None] | None = None,
    ) -> str | None:
        """What was typed, once `field` takes it; None where Enter leaves it out, or leaves what is kept.

        bare: the unit in which a number without one is taken, and said; without it none is.  doubt: of the value, SI,
        why it can hardly be meant: then it counts only after a yes.  kept: what - takes out.  overload: what OL means.
        """
        while text := self.text(_with_kept(prompt, kept())):
            if text.lower() in _WITHDRAW:
                self._withdraw(kept())
                continue
            if overload is not None and is_overload(text):
                return overload()
            try:
                typed = typed_value(clean(text), field, bare)
            except ValueError as problem:
                self.say(f"  {problem}")
                continue
            if typed.unit_presumed:
                self.say(f"  taken as {typed.text}")
            why = "" if typed.value is None else doubt(typed.value)
            if not why or self.sure(why, typed.text):
                return typed.text
        return None

    def sure(self, why: str, typed: str) -> bool:
        """Whether a doubtful reading is meant as it was typed; only a yes says so."""
        return self.yes(f"  {why}. Is {typed} right? [y/N] ", default=False)

    def yes(self, prompt: str, *, default: bool) -> bool:
        """y, yes, n, no, or Enter for the default; anything else is asked again."""
        while answer := self.line(prompt).lower():
            if answer in ("y", "yes", "n", "no"):
                return answer.startswith("y")
            self.say(f"  {answer[:40]!r}: expected y or n")
        return default

    def word_yes(self, prompt: str) -> bool:
        """Only the whole word says it, where a slip could hurt."""
        while answer := self.text(prompt).lower():
            if answer == "yes":
                return True
            if answer in ("n", "no"):
                return False
            self.say(f"  {answer[:40]!r}: expected the word yes, or Enter for no")
        return False

    def choice(self, prompt: str, answers: dict[str, str], default: str) -> str:
        """One of the answers, by the word that is typed; Enter is the default."""
        while text := self.text(prompt).lower():
            if text in answers:
                return answers[text]
            self.say(f"  {text[:40]!r}: expected {' or '.join(answers)}")
        return default

    def reason(self, prompt: str) -> str:
        """A reason in words, empty for none: a reading that was typed too early is no reason."""
        while text := self.text(prompt):
            if is_reason(text):
                return text
            self.say(f"  {text[:40]!r} is no reason, expected words, at least {LEAST_LETTERS} letters")
        return ""

    def text(self, prompt: str) -> str:
        return self.line(f"{prompt}: ")

    def line(self, prompt: str) -> str:
        try:
            text = self._keyboard.ask(prompt).strip()
        except EOFError:
            self.say("")
            raise Stopped("the input ended") from None
        if text.lower() in ("q", "quit", "stop"):
            raise Stopped("stopped")
        return text

    def _withdraw(self, kept: Kept | None) -> None:
        if kept is None:
            self.say("  nothing that was typed here is kept, so there is nothing to withdraw")
            return
        kept.withdraw()
        self.say(f"  {kept.words}: withdrawn")


def _with_kept(prompt: str, kept: Kept | None) -> str:
    return prompt if kept is None else f"{prompt} ({kept.told.format(kept.words)})"

"""Orders out of single keys: some ask for a number or a reason, which is typed on a line of its own."""

from __future__ import annotations

from bench.cli.keys import KeyReader
from bench.winding.layers import read_turns
from bench.winding.orders import KEYS, Act, KeyOrder, Order

__all__ = ["KeyLine"]

_LONGEST = 200
_BACKSPACES = ("\x7f", "\x08")


class KeyLine:
    """`orders` gives what was said since the last look; `prompt` is what is being typed just now, `problem` why a key
    or an answer was refused.  foot: the key that a foot switch sends, which means what the space bar means."""

    def __init__(self, keys: KeyReader, foot: str | None = None) -> None:
        self._keys = keys
        self._foot = foot
        self._asking: KeyOrder | None = None
        self._answers: list[str] = []
        self._typed = ""
        self.problem = ""

    @property
    def prompt(self) -> str:
        if self._asking is None:
            return ""
        return f"{self._asking.asks[len(self._answers)]}: {self._typed}_   (Esc: never mind)"

    def orders(self) -> list[Order]:
        self.problem = ""
        found = []
        for key in self._keys.pressed():
            order = self._key(key) if self._asking is None else self._answered(key)
            if order is not None:
                found.append(order)
        return found

    def _key(self, key: str) -> Order | None:
        if key == self._foot:
            return Order(Act.NEXT)
        meant = KEYS.get(key) or KEYS.get(key.lower())
        if meant is None:
            if len(key) == 1 and key.isprintable():
                self.problem = f"{key!r} is no key here; ? shows them"
            return None
        if not meant.asks:
            return Order(meant.act)
        self._asking, self._answers, self._typed = meant, [], ""
        return None

    def _answered(self, key: str) -> Order | None:
        if key == "esc":
            self._asking = None
        elif key in _BACKSPACES:
            self._typed = self._typed[:-1]
        elif key == "\n":
            return self._entered()
        elif len(key) == 1 and key.isprintable() and len(self._typed) < _LONGEST:
            self._typed += key
        return None

    def _entered(self) -> Order | None:
        assert self._asking is not None
        answer, self._typed = self._typed.strip(), ""
        first_is_turns = self._asking.act in (Act.SET, Act.BACK)
        if first_is_turns and not self._answers:
            try:
                read_turns(answer)
            except ValueError as problem:
                self.problem = str(problem)
                return None
        if self._asking.act is Act.SET and self._answers and not answer:
            self.problem = "a count that is set needs a reason, such as: counted again"
            return None
        self._answers.append(answer)
        if len(self._answers) < len(self._asking.asks):
            return None
        asked, self._asking = self._asking, None
        turns = read_turns(self._answers[0]) if first_is_turns else None
        return Order(asked.act, turns, self._answers[-1] if not first_is_turns or len(self._answers) > 1 else "")

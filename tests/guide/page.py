"""A page of the guide as whoever follows it meets it: what is said to the test, and each block in its order."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["CUT", "GUIDE", "Act", "Block", "inline_commands", "pages", "read_page", "shows"]

GUIDE = Path(__file__).resolve().parents[2] / "bench" / "guide"
CUT = "…"
"""Stands for what was left out."""

_PART = re.compile(r"^<!--(?P<act>.*?)-->\n|^```(?P<kind>\w*)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
_COMMAND = re.compile(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", re.MULTILINE)
_CODE = re.compile(r"`([^`\n]+)`")


@dataclass(frozen=True)
class Act:
    """What a person, or the bench, does there: `rehearsal --speed 100`, from a comment of the page."""

    verb: str
    rest: str


@dataclass(frozen=True)
class Block:
    """kind: text, sh, toml, json;  acts: of the comment right above it;  at: where its body begins in the page."""

    kind: str
    body: str
    acts: tuple[Act, ...] = field(default=())
    at: int = 0

    @property
    def commands(self) -> list[tuple[str, str]]:
        """Each command with what it is shown to say."""
        return [(found[1], found[2]) for found in _COMMAND.finditer(self.body)]

    def said(self, verb: str) -> str | None:
        """What stands behind a word of its comment; None where the word does not."""
        return next((act.rest for act in self.acts if act.verb == verb), None)


def pages() -> list[str]:
    return sorted(path.name for path in GUIDE.glob("*.md"))


def read_page(text: str) -> Iterator[Act | Block]:
    """Acts that stand alone and blocks, in their order."""
    waiting: list[Act] = []
    end = 0
    for part in _PART.finditer(text):
        between = text[end : part.start()]
        if between.strip() or part["act"] is not None:
            yield from waiting
            waiting = []
        end = part.end()
        if part["act"] is not None:
            waiting = [_act(line) for line in part["act"].splitlines() if line.strip()]
        else:
            yield Block(part["kind"], part["body"], tuple(waiting), part.start("body"))
            waiting = []
    yield from waiting


def inline_commands(text: str) -> list[str]:
    """Commands in the running text: `turnproof test JOB --plan`."""
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    return [code for code in _CODE.findall(prose) if re.match(r"turnproof [a-z]", code)]


def shows(shown: str, said: str, *, measured: bool = False) -> bool:
    """Whether `said` is what the page shows, however its lines are broken and whatever `…` leaves out.

    measured: what a meter reads is another one each time, and is not compared.
    """
    pieces = [_even(piece, measured) for piece in shown.split(CUT)]
    said = _even(said, measured)
    if len(pieces) == 1:
        return pieces[0] == said
    if not said.startswith(pieces[0]) or not said.endswith(pieces[-1]):
        return False
    at = len(pieces[0])
    for piece in pieces[1:-1]:
        found = said.find(piece, at)
        if found < 0:
            return False
        at = found + len(piece)
    return at <= len(said) - len(pieces[-1])


_MOMENT = re.compile(r"\d{4}-\d\d-\d\d(?:[ T]\d\d:\d\d(?::\d\d)?)?|\b\d\d:\d\d:\d\d\b")
_HASH = re.compile(r"\b[0-9a-f]{16,64}\b|(?<=my-receiver-)\d{8}-\d{4}")
_READ = re.compile(
    r"\d+(?= ±)|(?<=± )\d+\b(?!\.)|[-+±]?\d+(?:\.\d+)?(?= (?:%|[nµmkM]?(?:ohm|V|A|W|Hz|K|degC|°C)\b))|[-+±]?\d+\.\d+"
)


def _even(text: str, measured: bool) -> str:
    text = _HASH.sub("#", _MOMENT.sub("#", text))
    return " ".join((_READ.sub("#", text) if measured else text).split())


def _act(line: str) -> Act:
    verb, _, rest = line.strip().partition(" ")
    return Act(verb.rstrip(":"), rest.strip())

"""What was answered about a stage of the work, entry by entry: the last answer to each question stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

from bench.quantities import Dimension, parse

__all__ = [
    "ANEW",
    "BEGUN",
    "JUDGED",
    "Answer",
    "Answered",
    "Question",
    "Remark",
    "Weight",
    "answered",
    "by_weight",
    "entry_words",
    "remarks_with",
    "unanswered",
]

T = TypeVar("T")

ANEW = "anew"
"""Part of the entry with which the stage begins from nothing: taken apart and stacked again, or varnished again."""
BEGUN = "begun although"
"""Part of the entry that keeps why a stage was begun although something stood against it."""
JUDGED = "judged"
"""Part of the entry that keeps what was said of the answers: `warnings` and `not_answered`, by name."""


@dataclass(frozen=True)
class Question:
    """One thing to be known of a stage.

    key: its name in the record;  words: its name for a person;  prompt: the question;  read: what was typed as it is
    kept, or ValueError with one line;  bare: the unit of a number without one, where it is asked for at a prompt;
    required: whether the stage is not done without it;  doubt: why what was read can hardly be meant;
    only_if: whether it is asked at all, given what is answered, and `only_words` when;  choices: the words of which the
    answer is one, empty where it is typed.
    """

    key: str
    words: str
    prompt: str
    read: Callable[[str], str]
    bare: str = ""
    required: bool = False
    doubt: Callable[[str], str] = lambda text: ""
    only_if: Callable[[Answered], bool] = lambda known: True
    only_words: str = ""
    choices: tuple[str, ...] = ()

    @property
    def option(self) -> str:
        return "--" + self.key.replace("_", "-")


@dataclass(frozen=True)
class Answer:
    """value: as it is kept;  entry: number of the record's entry that holds it."""

    value: str
    entry: int


@dataclass(frozen=True)
class Answered:
    """answers: by question, those that stand;  since: entry from which this stage counts;  begun: its first entry
    after that, None where there is none;  last: its last;  because: why it was begun although something stood
    against it."""

    answers: Mapping[str, Answer] = field(default_factory=dict)
    since: int = 0
    begun: int | None = None
    last: int | None = None
    because: str = ""

    def text(self, key: str) -> str | None:
        """What stands as the answer; None where nothing does."""
        answer = self.answers.get(key)
        return None if answer is None else answer.value

    def value(self, key: str, read: Callable[[str], T]) -> T | None:
        """The answer as a value; None where there is none, or one that a later version of this program wrote."""
        text = self.text(key)
        if text is None:
            return None
        try:
            return read(text)
        except ValueError:
            return None

    def quantity(self, key: str, dimension: Dimension) -> float | None:
        """The answer in SI; None as for `value`."""
        return self.value(key, lambda text: parse(text, dimension))


class Weight(StrEnum):
    """What follows from a remark: with one of the first two the stage is not in order."""

    WARNING = "warning"
    MISSING = "not answered"
    NOTE = "note"


@dataclass(frozen=True)
class Remark:
    """name: for the record;  words: what is so;  consequence: what comes of it;  shown_by: the test that will tell;
    about: the question whose answer it is about, empty where it is about none."""

    name: str
    weight: Weight
    words: str
    consequence: str = ""
    shown_by: str = ""
    about: str = ""

    def as_json(self) -> dict[str, str]:
        fields = {"words": self.words, "consequence": self.consequence, "shown_by": self.shown_by}
        return {"name": self.name, "weight": str(self.weight), **{key: text for key, text in fields.items() if text}}


def remarks_with(
    consequences: Mapping[str, tuple[str, str]], about: Mapping[str, str]
) -> Callable[[str, Weight, str], Remark]:
    """Makes remarks of name, weight and words.

    consequences: by the name, what comes of it and which test shows it;  about: by the name, the question.
    """

    def remark(name: str, weight: Weight, words: str) -> Remark:
        consequence, shown_by = consequences.get(name, ("", ""))
        return Remark(name, weight, words, consequence, shown_by, about.get(name, ""))

    return remark


def unanswered(questions: Iterable[Question], answers: Mapping[str, object]) -> list[Remark]:
    """Questions without which the stage is not done, and that have no answer;  answers: as values, by the question."""
    missing = [one for one in questions if one.required and answers.get(one.key) is None]
    return [Remark(one.key, Weight.MISSING, one.words, about=one.key) for one in missing]


def by_weight(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Warnings first, then what is not answered, then notes; within each as they came."""
    order = list(Weight)
    return tuple(sorted(remarks, key=lambda remark: order.index(remark.weight)))


def answered(entries: Iterable[tuple[int, Mapping[str, Any]]]) -> Answered:
    """From number and body of a stage's entries in their order; what is no answer is passed over."""
    answers: dict[str, Answer] = {}
    since, begun, last, because = 0, None, None, ""
    for number, body in entries:
        part = str(body.get("part", ""))
        if part == ANEW:
            answers, since, begun, last, because = {}, number, None, None, ""
            continue
        if part in ("", JUDGED):
            continue
        begun = number if begun is None else begun
        last = number
        if part == BEGUN:
            because = str(body.get("because", ""))
        elif "withdrawn" in body:
            answers.pop(part, None)
        elif isinstance(body.get("value"), str):
            answers[part] = Answer(body["value"], number)
    return Answered(answers, since, begun, last, because)


def entry_words(body: Mapping[str, Any]) -> str:
    """An entry of a stage in a line: `left over: 2 E 2 I, in place of entry 12`."""
    part = str(body.get("part", "?")).replace("_", " ")
    if part == ANEW:
        return "begun anew"
    if part == BEGUN:
        return f"begun although {body.get('standing', '')}, because: {body.get('because', '')}"
    if part == JUDGED:
        names = {key: ", ".join(str(one).replace("_", " ") for one in body.get(key) or ()) for key in _JUDGED_KEYS}
        told = [f"{words}: {names[key]}" for key, words in _JUDGED_KEYS.items() if names[key]]
        return f"judged: {'; '.join(told) or 'nothing against it'}"
    if "withdrawn" in body:
        return f"{part}: {body['withdrawn']} withdrawn, entry {body.get('instead_of', '?')}"
    instead = f", in place of entry {body['instead_of']}" if "instead_of" in body else ""
    return f"{part}: {body.get('value', '')}{instead}"


_JUDGED_KEYS = {"warnings": "warned of", "not_answered": "not answered"}

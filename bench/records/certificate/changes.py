"""What is other in a certificate than in the one before: the words for an amendment."""

from __future__ import annotations

from dataclasses import replace

from bench.records.certificate.facts import Facts

__all__ = ["changes_between", "say_the_same"]

_WORDS_LIKE = {
    "ratings": "rating", "windings": "windings", "readings": "readings", "curve": "exciting current",
    "findings": "findings", "not_done": "what was not done", "instruments": "instruments", "cautions": "cautions",
    "workshop": "workshop", "conditions": "conditions of the test", "verdict": "verdict", "date": "date of the test",
}  # fmt: skip
_OF_A_TEST = ("readings", "curve", "findings", "not_done", "instruments", "conditions", "verdict", "date")
"""What another test changes by itself: naming the test is enough."""
_MOST_LETTERS = 160


def say_the_same(before: Facts, now: Facts) -> bool:
    """Whether both say the same, however far the record has come."""
    return replace(before, entry=0, hash="") == replace(now, entry=0, hash="")


def changes_between(before: Facts, now: Facts) -> tuple[str, ...]:
    """A line each: another test, names, notes and corrections, what was done to the unit since."""
    lines = []
    if before.test != now.test:
        tested = f"another test, of {now.date} (entry {now.test}): {now.verdict}"
        lines.append(f"{tested}; the one before, of {before.date} (entry {before.test}): {before.verdict}")
    for name in type(now.identity).model_fields:
        old, new = getattr(before.identity, name), getattr(now.identity, name)
        if old != new:
            lines.append(f"{name}: {_quoted(new)} in place of {_quoted(old)}")
    for day, what in now.notes:
        if (day, what) not in before.notes:
            lines.append(_cut(f"noted or corrected {day}: {what}"))
    lines += _of_the_unit(before, now)
    if before.pictures != now.pictures:
        lines.append("pictures: " + ("; ".join(one.words for one in now.pictures) or "none"))
    for name, words in _WORDS_LIKE.items():
        if getattr(before, name) != getattr(now, name) and not (before.test != now.test and name in _OF_A_TEST):
            lines.append(words)
    return tuple(lines or ["wording only"])


def _of_the_unit(before: Facts, now: Facts) -> list[str]:
    """Its lines beside those of its identity, which are told above."""
    old = {row[0]: row[1] for row in before.unit}
    named = {"Equipment", "Maker", "Serial number", "Owner", "Received", "Reason", "Remark"}
    other = [row for row in now.unit if row[0] not in named and old.get(row[0]) != row[1]]
    return [_cut(f"{row[0].lower()}: {row[1]}") for row in other]


def _quoted(text: str) -> str:
    return f"“{_cut(text)}”" if text else "nothing"


def _cut(text: str) -> str:
    return text if len(text) <= _MOST_LETTERS else f"{text[: _MOST_LETTERS - 1]}…"

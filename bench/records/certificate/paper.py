"""The certificate on paper: PDF, from a template that takes everything a person typed as mere text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from bench.design.inert import Exact
from bench.design.typesetting import in_our_type, typeset
from bench.records.certificate.code import code_drawn
from bench.records.certificate.drawings import drawings_of
from bench.records.certificate.facts import DECISION_RULE, MODESTY, Facts
from bench.records.certificate.given import Amendment, Given
from bench.records.certificate.shrunk import Shown, shown

__all__ = ["paper"]

_TEMPLATE = Path(__file__).with_name("paper.typ")


def paper(facts: Facts, given: Given | None = None) -> bytes:
    """PDF, A4;  given: which certificate it is, None for a look at it before one is given."""
    pictures = shown(facts.attachments, facts.pictures)
    files = {f"{one.picture.seq}.png": one.png for one in pictures if one.png}
    day = facts.date if given is None else given.date
    return typeset(_TEMPLATE, _told(facts, given, pictures), day, files)


def _told(facts: Facts, given: Given | None, pictures: Sequence[Shown]) -> dict[str, Any]:
    """What the template sets, as JSON holds it."""
    drawings = drawings_of(facts)
    return {
        **{key: value for key, value in asdict(facts).items() if key not in ("job", "identity", "attachments")},
        "pictures": [
            {
                "file": f"{one.picture.seq}.png" if one.png else "",
                "words": one.picture.words,
                "problem": f"{one.picture.words}: kept as entry {one.picture.seq}, but {one.problem}",
            }
            for one in pictures
        ],
        "name": facts.identity.name,
        "number": facts.identity.number,
        "given": "not given to anybody" if given is None else given.words,
        "amendments": [_amendment(one) for one in given.amendments] if given is not None else [],
        "window": in_our_type(drawings.window),
        "curve": in_our_type(drawings.curve),
        "code": Exact(code_drawn(facts.seal)),
        "seal": Exact(facts.seal),
        "hash": Exact(facts.hash),
        "rule": DECISION_RULE,
        "modesty": MODESTY,
    }


def _amendment(one: Amendment) -> dict[str, Any]:
    return {**asdict(one), "of_head": Exact(one.of_head), "of_sha256": Exact(one.of_sha256)}

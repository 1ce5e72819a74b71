"""The certificate on paper: PDF, set by typst from a template that takes everything a person typed as mere text."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from bench.records.certificate.code import code_drawn
from bench.records.certificate.drawings import drawings_of
from bench.records.certificate.facts import DECISION_RULE, MODESTY, Facts

__all__ = ["paper"]

_TEMPLATE = Path(__file__).with_name("paper.typ")


def paper(facts: Facts) -> bytes:
    """PDF, A4, tagged (PDF/UA-1, as typst makes it).

    The same facts give the same bytes on every machine, since only the fonts that typst brings are used; where they
    lack a sign of what a person typed, those of the machine are asked, too.
    """
    told = json.dumps(_printable(_told(facts)))
    try:
        return _set(facts, told, font_paths=_own_fonts(), pdf_standards=["ua-1"])
    except typst.TypstError as problem:
        if "could not be displayed" not in str(problem):
            raise
        return _set(facts, told, font_paths=[], pdf_standards=[])


def _set(facts: Facts, told: str, **how: Any) -> bytes:
    noon = datetime.fromisoformat(f"{facts.date}T12:00:00+00:00")
    made = typst.compile(
        str(_TEMPLATE), format="pdf", sys_inputs={"told": told}, timestamp=int(noon.timestamp()), **how
    )
    return bytes(made)


def _told(facts: Facts) -> dict[str, Any]:
    """What the template sets, as JSON holds it."""
    identity, drawings = facts.job.identity, drawings_of(facts)
    return {
        **{key: value for key, value in asdict(facts).items() if key != "job"},
        "name": identity.name,
        "number": identity.number,
        "window": _in_our_type(drawings.window),
        "curve": _in_our_type(drawings.curve),
        "code": code_drawn(facts.seal),
        "seal": facts.seal,
        "rule": DECISION_RULE,
        "modesty": MODESTY,
    }


def _printable(value: Any) -> Any:
    """Blanks for what no font can show, such as bells and marks that turn a line round."""
    if isinstance(value, str):
        return "".join(c if c.isprintable() or c == "\n" else " " for c in value)
    if isinstance(value, dict):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value


@cache
def _own_fonts() -> typst.Fonts:
    """Those in the library alone."""
    return typst.Fonts(include_system_fonts=False)


def _in_our_type(svg: str) -> str:
    return svg.replace('"DejaVu Sans", Verdana, sans-serif', '"Libertinus Serif", serif')

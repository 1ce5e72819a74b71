"""The certificate as a web page, which any machine can show; everything that a person typed is inert in it."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup

from bench.design.inert import Exact, plain
from bench.design.typesetting import in_our_type
from bench.records.certificate.code import code_drawn
from bench.records.certificate.drawings import drawings_of
from bench.records.certificate.facts import DECISION_RULE, MODESTY, Facts
from bench.records.certificate.given import Given
from bench.records.certificate.shrunk import shown

__all__ = ["page"]


def page(facts: Facts, given: Given | None = None) -> str:
    """HTML, one file, nothing loaded from elsewhere."""
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_plain,
    )
    environment.filters["exact"] = Exact
    drawings = drawings_of(facts)
    return environment.get_template("page.html").render(
        facts=facts,
        identity=facts.identity,
        given="not given to anybody" if given is None else given.words,
        amendments=() if given is None else given.amendments,
        window=Markup(in_our_type(drawings.window)),
        curve=Markup(in_our_type(drawings.curve)),
        code=Markup(code_drawn(facts.seal)),
        pictures=[
            (one.picture, Exact(base64.b64encode(one.png).decode()) if one.png else "", one.problem)
            for one in shown(facts.attachments, facts.pictures)
        ],
        rule=DECISION_RULE,
        modesty=MODESTY,
    )


def _plain(value: Any) -> Any:
    """What is drawn stays; every other text is made plain before it is made inert."""
    return plain(value) if isinstance(value, str) and not isinstance(value, Markup | Exact) else value

"""The certificate as a web page, which any machine can show; everything that a person typed is inert in it."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup

from bench.records.certificate.code import code_drawn
from bench.records.certificate.drawings import drawings_of
from bench.records.certificate.facts import DECISION_RULE, MODESTY, Facts

__all__ = ["page"]


def page(facts: Facts) -> str:
    """HTML, one file, nothing loaded from elsewhere."""
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    drawings = drawings_of(facts)
    return environment.get_template("page.html").render(
        facts=facts,
        identity=facts.job.identity,
        window=Markup(drawings.window),
        curve=Markup(drawings.curve),
        code=Markup(code_drawn(facts.seal)),
        rule=DECISION_RULE,
        modesty=MODESTY,
    )

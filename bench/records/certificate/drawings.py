"""What is drawn on a certificate."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.plan import plan_or_none
from bench.records.certificate.curve import curve_drawn
from bench.records.certificate.facts import Facts
from bench.records.certificate.window import window_drawn

__all__ = ["Drawings", "drawings_of"]


@dataclass(frozen=True)
class Drawings:
    """SVG, each empty where there is nothing to draw."""

    window: str
    curve: str


def drawings_of(facts: Facts) -> Drawings:
    """window: where the job is filled in enough for a plan;  curve: where the current was read at two volts or more."""
    plan = plan_or_none(facts.job)
    return Drawings("" if plan is None else window_drawn(plan), curve_drawn(facts.curve))

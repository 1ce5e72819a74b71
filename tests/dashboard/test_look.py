"""Colours that can be read, and verdicts that are told apart without them."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.dashboard.instruments import Health
from bench.dashboard.parts.look import Ink, ink_of_verdict, shape_of_health, shape_of_standing, shape_of_verdict
from bench.winding.progress import Standing

TEXTS = [Ink.TEXT, Ink.QUIET, Ink.COPPER, Ink.GOOD, Ink.BAD, Ink.DOUBT, Ink.TROUBLE]
GROUNDS = [Ink.PAPER, Ink.CARD]
LOUD = [Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE]


def _luminance(ink: Ink) -> float:
    """Relative luminance, WCAG 2.1."""
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (ink.colour.redF(), ink.colour.greenF(), ink.colour.blueF())
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: Ink, other: Ink) -> float:
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("ink", TEXTS)
def test_text_keeps_the_contrast_of_wcag_2_aa(ink: Ink, ground: Ink) -> None:
    assert _contrast(ink, ground) >= 4.5


@pytest.mark.parametrize("verdict", LOUD)
def test_a_verdict_keeps_it_on_its_own_ground_too(verdict: Verdict) -> None:
    assert _contrast(*ink_of_verdict(verdict)) >= 4.5


def test_verdicts_healths_and_standings_differ_by_shape() -> None:
    assert len({shape_of_verdict(verdict) for verdict in [None, *LOUD]}) == 5
    assert len({shape_of_health(health) for health in Health}) == len(Health)
    assert len({shape_of_standing(standing) for standing in Standing}) == len(Standing)

"""Colours that can be read, in light and in dark, and verdicts that are told apart without them."""

from __future__ import annotations

import math
import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QColor

import bench.dashboard
from bench.acceptance.decision import Verdict
from bench.dashboard.instruments import Health
from bench.dashboard.parts.look import Ink, ink_of_verdict, shape_of_health, shape_of_standing, shape_of_verdict
from bench.dashboard.parts.theme import Theme, put_on, worn
from bench.winding.progress import Standing

Colour = NDArray[np.float64]

STATES = [Ink.GOOD, Ink.BAD, Ink.DOUBT, Ink.TROUBLE, Ink.COPPER]
TEXTS = [Ink.TEXT, Ink.QUIET, *STATES]
STATE_GROUNDS = [Ink.CARD, Ink.GOOD_PALE, Ink.BAD_PALE, Ink.DOUBT_PALE, Ink.TROUBLE_PALE]
GROUNDS = [Ink.PAPER, Ink.EMPTY, *STATE_GROUNDS]
LOUD = [Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE]

APART = 10.0
"""Least CIEDE2000 difference of two inks of a state, for eyes of any kind: some ten times what is just noticed side by
side (about 1 by its definition); the factor is common practice, no source. The shapes tell anyhow."""
GROUNDS_APART = 5.0
"""Of two grounds, each of which also carries a sign and a word."""

# Whole dichromacy: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of
# color vision deficiency", IEEE Trans. Visualization and Computer Graphics 15 (2009) 1291, severity 1.0, on linear RGB.
EYES = {
    "all three cones": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
# Linear sRGB to XYZ, and its white (IEC 61966-2-1).
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def _linear(ink: Ink, theme: Theme) -> Colour:
    colour = QColor(ink.in_theme(theme))
    parts = np.array([colour.redF(), colour.greenF(), colour.blueF()])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def _contrast(one: Ink, other: Ink, theme: Theme) -> float:
    """WCAG 2.1, relative luminance and contrast ratio."""
    light, dark = sorted((float(_linear(ink, theme) @ TO_XYZ[1]) for ink in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _lab(linear: Colour) -> Colour:
    """CIELAB under the white of sRGB."""
    share = TO_XYZ @ np.clip(linear, 0, 1) / (TO_XYZ @ np.ones(3))
    f = np.where(share > 216 / 24389, np.cbrt(share), (24389 / 27 * share + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def _ciede2000(one: Colour, other: Colour) -> float:
    """G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30 (2005) 21."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    c_mean = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(c_mean**7 / (c_mean**7 + 25**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = math.degrees(math.atan2(b1, a1)) % 360, math.degrees(math.atan2(b2, a2)) % 360
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    d_l, d_c = l2 - l1, c2 - c1
    d_h = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))
    l_mean, c_mean = (l1 + l2) / 2, (c1 + c2) / 2
    h_mean = (h1 + turn / 2) % 360 if c1 * c2 else h1 + h2
    t = (
        1
        - 0.17 * math.cos(math.radians(h_mean - 30))
        + 0.24 * math.cos(math.radians(2 * h_mean))
        + 0.32 * math.cos(math.radians(3 * h_mean + 6))
        - 0.20 * math.cos(math.radians(4 * h_mean - 63))
    )
    s_l = 1 + 0.015 * (l_mean - 50) ** 2 / math.sqrt(20 + (l_mean - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_mean, 1 + 0.015 * c_mean * t
    turned = math.radians(60 * math.exp(-(((h_mean - 275) / 25) ** 2)))
    r_t = -math.sin(turned) * 2 * math.sqrt(c_mean**7 / (c_mean**7 + 25**7))
    light, chroma, hue = d_l / s_l, d_c / s_c, d_h / s_h
    return math.sqrt(light**2 + chroma**2 + hue**2 + r_t * chroma * hue)


@pytest.mark.parametrize(
    ("one", "other", "difference"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
        ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
        ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ],
)
def test_the_difference_is_that_of_the_paper(
    one: tuple[float, ...], other: tuple[float, ...], difference: float
) -> None:
    """Pairs of its table 1."""
    assert _ciede2000(np.array(one), np.array(other)) == pytest.approx(difference, abs=1e-4)


@pytest.mark.parametrize("theme", Theme)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("ink", TEXTS)
def test_any_ink_on_any_ground_keeps_the_contrast_of_wcag_2_aa(ink: Ink, ground: Ink, theme: Theme) -> None:
    assert _contrast(ink, ground, theme) >= 4.5


@pytest.mark.parametrize("theme", Theme)
def test_what_is_written_on_copper_keeps_it_too(theme: Theme) -> None:
    """A button that is to be pressed next, and one that is being pressed."""
    assert _contrast(Ink.CARD, Ink.COPPER, theme) >= 4.5
    assert _contrast(Ink.TEXT, Ink.COPPER_PALE, theme) >= 4.5


@pytest.mark.parametrize("theme", Theme)
def test_copper_stands_out_of_what_it_is_drawn_beside(theme: Theme) -> None:
    """WCAG 2.1, 1.4.11: what is drawn and must be seen keeps 3:1."""
    for beside in (Ink.COPPER_PALE, Ink.EMPTY, Ink.CARD):
        assert _contrast(Ink.COPPER, beside, theme) >= 3.0


@pytest.mark.parametrize("theme", Theme)
@pytest.mark.parametrize("eyes", EYES)
def test_states_stay_apart_for_eyes_that_lack_one_kind_of_cone(eyes: str, theme: Theme) -> None:
    seen = {ink: _lab(EYES[eyes] @ _linear(ink, theme)) for ink in (*STATES, *STATE_GROUNDS)}
    for inks, least in ((STATES, APART), (STATE_GROUNDS, GROUNDS_APART)):
        apart = {(a.name, b.name): _ciede2000(seen[a], seen[b]) for a, b in combinations(inks, 2)}
        assert {pair: d for pair, d in apart.items() if d < least} == {}


@pytest.mark.parametrize("verdict", LOUD)
def test_a_verdict_keeps_the_contrast_on_its_own_ground(verdict: Verdict) -> None:
    for theme in Theme:
        assert _contrast(*ink_of_verdict(verdict), theme) >= 4.5


def test_verdicts_healths_and_standings_differ_by_shape() -> None:
    assert len({shape_of_verdict(verdict) for verdict in [None, *LOUD]}) == 5
    assert len({shape_of_health(health) for health in Health}) == len(Health)
    assert len({shape_of_standing(standing) for standing in Standing}) == len(Standing)


def test_an_ink_has_the_colour_of_the_theme_that_is_worn() -> None:
    before = worn()
    try:
        put_on(Theme.LIGHT)
        light = Ink.CARD.colour
        put_on(Theme.DARK)
        assert (light.name(), Ink.CARD.colour.name()) == (
            Ink.CARD.in_theme(Theme.LIGHT),
            Ink.CARD.in_theme(Theme.DARK),
        )
        assert light.lightnessF() > 0.8 > 0.2 > Ink.CARD.colour.lightnessF()
    finally:
        put_on(before)


def test_colours_come_from_the_inks_alone() -> None:
    """Else one of them would stay as it is in the other theme, and nobody would have weighed its contrast."""
    folder = Path(bench.dashboard.__file__).parent
    other = re.compile(r"QColor\(|GlobalColor\.(?!transparent)|setStyleSheet|[\"']#[0-9a-fA-F]{3,8}[\"']")
    # A lead has the colour that it has, and so has a photograph.
    allowed = {"look.py", "gallery.py", "lead_colours.py", "photograph.py", "symbols.py"}
    found = [
        f"{path.relative_to(folder)}:{number}"
        for path in folder.rglob("*.py")
        if path.name not in allowed
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if other.search(line)
    ]
    assert found == []

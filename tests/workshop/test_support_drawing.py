"""The drawing: every dimension stands on it, at the scale it names, and nothing leaves the sheet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from bench.design.plan import WindingPlan, plan_of
from bench.job.model import Job
from bench.workshop.support import Support, support_for
from bench.workshop.support_drawing import DoesNotFitSheet, support_drawing
from tests.workshop.jobs import OPENER, RECEIVER

SVG = "{http://www.w3.org/2000/svg}"


def plan(tongue: float, stack: float) -> WindingPlan:
    """An E-I core of the scrapless proportions, lightly wound."""
    return plan_of(
        Job.model_validate(
            {
                "schema": 1,
                "identity": {"number": "X-1"},
                "core": {
                    "tongue": f"{tongue} mm",
                    "window_width": f"{tongue / 2} mm",
                    "window_height": f"{1.5 * tongue} mm",
                    "stack": f"{stack} mm",
                },
                "winding": [{"name": "w", "role": "primary", "turns": 60, "wire": "0.5 mm"}],
            }
        )
    )


def drawn(of: WindingPlan, support: Support | None = None) -> ET.Element:
    text = support_drawing(
        support or support_for(of), heading="X-1 & <Co>", date="2026-11-25", window_width=of.shape.window_width,
        tongue=of.shape.tongue,
    )  # fmt: skip
    return ET.fromstring(text)


def words(sheet: ET.Element) -> list[str]:
    return ["".join(one.itertext()) for one in sheet.iter(f"{SVG}text")]


def points(sheet: ET.Element) -> list[tuple[float, float]]:
    paths = " ".join(one.get("d", "") for one in sheet.iter(f"{SVG}path"))
    return [(float(x), float(y)) for x, y in re.findall(r"([\d.-]+) ([\d.-]+)", paths)]


@pytest.mark.parametrize("of", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])
def test_each_size_of_block_and_cheeks_is_dimensioned(of: WindingPlan) -> None:
    support = support_for(of)
    said = words(drawn(of, support))
    for size in (
        *(support.width, support.depth, support.length, support.cheek_width, support.cheek_depth),
        *(support.cheek_thickness, support.slot_width, support.slot_depth),
    ):
        assert f"{size * 1e3:.2f}".rstrip("0").rstrip(".") in said
    assert said.count(f"⌀{support.hole * 1e3:.1f}") == 2
    assert any("1:1" in one for one in said)
    assert "2026-11-25" in said
    assert "X-1 & <Co>" in said


def test_at_one_to_one_a_millimetre_is_a_millimetre() -> None:
    sheet = drawn(RECEIVER)
    assert (sheet.get("width"), sheet.get("viewBox")) == ("297mm", "0 0 297 210")
    boxes = [re.findall(r"([\d.]+) ([\d.]+)", one.get("d", "")) for one in sheet.iter(f"{SVG}path")]
    sizes = {
        (round(float(b[2][0]) - float(b[0][0]), 2), round(float(b[2][1]) - float(b[0][1]), 2))
        for b in boxes
        if len(b) == 4
    }
    assert {(31.8, 44.8), (48.0, 44.8), (5.0, 77.0)} <= sizes


@pytest.mark.parametrize(("tongue", "stack"), [(14, 14), (32, 45), (32, 70), (40, 60), (50, 100), (85, 85), (150, 200)])
def test_nothing_leaves_the_frame_at_any_size(tongue: float, stack: float) -> None:
    sheet = drawn(plan(tongue, stack), support_for(plan(tongue, stack), spindle=6e-3))
    assert all(5 <= x <= 292 and 5 <= y <= 205 for x, y in points(sheet))
    for one in sheet.iter(f"{SVG}text"):
        x, y = float(one.get("x", "nan")), float(one.get("y", "nan"))
        assert 5 < x < 292
        assert 5 < y < 205


def test_a_core_too_large_for_one_to_one_is_drawn_smaller_and_says_so() -> None:
    assert any("1:2" in one for one in words(drawn(plan(50, 100))))


def test_a_core_too_large_for_any_scale_is_told() -> None:
    with pytest.raises(DoesNotFitSheet, match="do not fit a sheet of A4"):
        drawn(plan(900, 1900))


def test_the_drawing_says_what_may_be_printed() -> None:
    assert "never the former" in " ".join(words(drawn(RECEIVER)))


@pytest.mark.parametrize(("tongue", "stack"), [(14, 14), (32, 45), (40, 60), (85, 85)])
def test_the_notes_end_above_the_title_field(tongue: float, stack: float) -> None:
    of = plan(tongue, stack)
    sheet = drawn(of, support_for(of, spindle=6e-3, overhang=20e-3))
    notes = [float(one.get("y", "nan")) for one in sheet.iter(f"{SVG}text") if one.get("font-size") == "2.5"]
    assert len(notes) > 10
    assert max(notes) < 210 - 5 - 24

"""The drawing of the window is to scale, holds every turn that it draws, and its words don't cover each other."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.design.canvas import Label
from bench.design.plan import PlannedWinding, WindingPlan, plan_of
from bench.design.section import Section, section_of
from bench.design.section_labels import spread
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.winding import Tap

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
NARROW = RECEIVER.model_copy(update={"core": RECEIVER.core.model_copy(update={"window_width": 12e-3})})
_LONG = "a-winding-named-at-length"[:24]
_TAPS = tuple(Tap(name=f"tap{turn}", turn=turn) for turn in (138, 139, 140, 141, 279, 281, 559, 561, 839, 841))
TAPPED = OPENER.model_copy(
    update={"winding": (OPENER.winding[0].model_copy(update={"taps": _TAPS}), OPENER.winding[1])}
)
NAMED = RECEIVER.model_copy(
    update={
        "winding": (*RECEIVER.winding[:3], RECEIVER.winding[3].model_copy(update={"name": _LONG})),
    }
)
JOBS = pytest.mark.parametrize(
    "job",
    [RECEIVER, OPENER, NARROW, TAPPED, NAMED],
    ids=["coastal-receiver", "gate-opener", "too narrow", "many taps", "long name"],
)
_SVG = "{http://www.w3.org/2000/svg}"


def _drawn(job: Job) -> tuple[WindingPlan, Section, ET.Element]:
    plan = plan_of(job)
    section = section_of(plan)
    return plan, section, ET.fromstring(section.svg)


def _of(root: ET.Element, look: str) -> list[dict[str, float]]:
    """Rectangles of a look, swatches of the legend left out."""
    found = [one for one in root.iter(f"{_SVG}rect") if one.get("class") == look]
    return [{key: float(one.attrib[key]) for key in ("x", "y", "width", "height")} for one in found]


@JOBS
def test_words_stand_apart_and_on_the_paper(job: Job) -> None:
    _, section, _ = _drawn(job)
    for label in section.labels:
        left, top, right, bottom = label.box
        assert left >= 0, label
        assert top >= 0, label
        assert right <= section.width, label
        assert bottom <= section.height, label
    for one, other in itertools.combinations(section.labels, 2):
        assert not _touch(one, other), (one, other)


def _touch(one: Label, other: Label) -> bool:
    a, b = one.box, other.box
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


@JOBS
def test_it_goes_on_a_page(job: Job) -> None:
    _, section, root = _drawn(job)
    assert section.width <= 190
    assert section.height <= 270
    assert root.attrib["width"] == f"{section.width:.1f}mm"
    assert root.attrib["viewBox"].split()[2] == f"{section.width:.1f}"


@JOBS
def test_window_build_and_free_room_are_to_scale(job: Job) -> None:
    plan, section, root = _drawn(job)
    per_metre = 1e3 * section.scale
    window = _of(root, "air")[0]
    assert window["width"] == pytest.approx(plan.shape.window_width * per_metre, abs=0.01)
    assert window["height"] == pytest.approx(plan.shape.window_height * per_metre, abs=0.01)
    wraps = _of(root, "wrap")
    assert wraps[-1]["x"] + wraps[-1]["width"] - window["x"] == pytest.approx(plan.outer * per_metre, abs=0.01)
    said = {label.text for label in section.labels}
    assert f"build {plan.outer * 1e3:.4g} mm" in said
    assert f"window {plan.shape.window_width * 1e3:.4g} mm" in said
    if plan.room_left >= 0:
        assert f"free {plan.room_left * 1e3:.4g} mm" in said
    else:
        assert f"DOES NOT FIT by {-plan.room_left * 1e3:.4g} mm" in said


@JOBS
def test_every_turn_that_can_be_seen_is_a_circle_of_its_size_in_its_place(job: Job) -> None:
    plan, section, root = _drawn(job)
    window, per_metre = _of(root, "air")[0], 1e3 * section.scale
    groups = iter([one for one in root.iter(f"{_SVG}g") if "turns" in one.attrib["class"]])
    for one in plan.windings:
        if one.overall * per_metre < 1.0:
            assert section.turns_drawn[one.name] == 0
            continue
        assert section.turns_drawn[one.name] == one.winding.turns
        for layer in one.layers:
            circles = list(next(groups))
            assert len(circles) == layer.turns * one.winding.strands
            places = [(float(c.attrib["cy"]) - window["y"]) / per_metre - plan.former for c in circles]
            assert min(layer.start, layer.end) < min(places)
            assert max(places) < max(layer.start, layer.end)
            for circle in circles:
                height = (float(circle.attrib["cx"]) - window["x"]) / per_metre
                assert height == pytest.approx((layer.inner + layer.outer) / 2, abs=1e-5)
                assert 2 * float(circle.attrib["r"]) == pytest.approx(one.overall * per_metre, abs=0.01)


@JOBS
def test_a_layer_too_fine_for_circles_is_a_band_as_long_and_high_as_it_is(job: Job) -> None:
    plan, section, root = _drawn(job)
    window, per_metre = _of(root, "air")[0], 1e3 * section.scale
    fine = [(number, one) for number, one in enumerate(plan.windings) if one.overall * per_metre < 1.0]
    for number, one in fine:
        bands = _of(root, f"band band{number % 4}")[: len(one.layers)]
        # The swatch of the label comes last.
        for band, layer in zip(bands, one.layers, strict=True):
            assert band["height"] == pytest.approx(layer.turns * layer.pitch * per_metre, abs=0.01)
            assert band["width"] == pytest.approx((layer.outer - layer.inner) * per_metre, abs=0.01)
            assert band["x"] - window["x"] == pytest.approx(layer.inner * per_metre, abs=0.01)


@JOBS
def test_every_step_has_its_number_and_name_and_its_own_look(job: Job) -> None:
    plan, section, _ = _drawn(job)
    words = [label.text for label in section.labels]
    for number, one in enumerate(plan.items, start=1):
        name = one.name if isinstance(one, PlannedWinding) else one.screen.name
        assert any(re.match(rf"{number}  {re.escape(name)}\b", text) for text in words), name


_WOUND = st.tuples(
    st.text("abcdefgh", min_size=1, max_size=21),
    st.integers(12, 3000),
    st.sampled_from(["0.05 mm", "0.16 mm", "24 SWG", "1.5 mm"]),
    st.lists(st.integers(1, 11), unique=True, max_size=8),
)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(["EI 48", "EI 66", "EI 120"]), st.lists(_WOUND, min_size=1, max_size=7))
def test_words_stand_apart_whatever_is_wound(lamination: str, windings: list[tuple[str, int, str, list[int]]]) -> None:
    table = {
        "schema": 1,
        "identity": {"number": "X"},
        "core": {"lamination": lamination, "stack": "40 mm"},
        "winding": [
            {
                "name": f"{name}{number}",
                "role": "secondary",
                "turns": turns,
                "wire": wire,
                "taps": [{"name": f"tap{turn}", "turn": turn} for turn in sorted(taps)],
            }
            for number, (name, turns, wire, taps) in enumerate(windings)
        ],
    }
    job = Job.model_validate(table)
    test_words_stand_apart_and_on_the_paper(job)
    test_it_goes_on_a_page(job)


@given(st.lists(st.floats(0, 100), max_size=20))
def test_labels_spread_over_their_room_keep_their_order_and_distance(wanted: list[float]) -> None:
    places = spread(sorted(wanted), 10.0, 90.0, 4.0)
    assert all(10.0 - 1e-9 <= one <= 90.0 + 1e-9 for one in places)
    assert all(after - before >= 4.0 - 1e-9 for before, after in itertools.pairwise(places))


def test_a_label_with_room_stands_where_it_is_wanted() -> None:
    assert spread([20.0, 50.0], 10.0, 90.0, 4.0) == [20.0, 50.0]


def test_a_screen_is_a_line_that_prints_on_paper() -> None:
    plan, section, root = _drawn(RECEIVER)
    foil, window = _of(root, "foil")[0], _of(root, "air")[0]
    screen = plan.screens[0]
    assert foil["width"] >= 0.4
    middle = foil["x"] + foil["width"] / 2 - window["x"]
    assert middle == pytest.approx((screen.inner + screen.outer) / 2 * 1e3 * section.scale, abs=0.01)
    assert foil["height"] == pytest.approx(screen.width * 1e3 * section.scale, abs=0.01)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    _, section, root = _drawn(RECEIVER)
    bar = _of(root, "bar") + _of(root, "bar pale")
    length = next(float(label.text[:-3]) for label in section.labels if re.fullmatch(r"\d+ mm", label.text))
    assert sum(one["width"] for one in bar) == pytest.approx(length * section.scale, abs=0.01)


def test_looks_differ_by_more_than_tint() -> None:
    """Grey is what a black printer makes of a tint: turns differ by outline or hatching, bands by their hatching."""
    from bench.design.section_look import PATTERNS, STYLE

    hatchings = {name: re.sub(r'fill="#[0-9a-f]+"', "", body) for name, body in re.findall(
        r'<pattern id="(band\d)"(.*?)</pattern>', PATTERNS)}  # fmt: skip
    assert len(set(hatchings.values())) == 4
    rules = re.findall(r"\.coil\d\{([^}]*)\}", STYLE)
    assert len(set(rules)) == 4


def test_words_that_a_person_typed_are_inert() -> None:
    odd = RECEIVER.screen[0].model_copy(update={"material": "<script>&\x00"})
    _, section, _ = _drawn(RECEIVER.model_copy(update={"screen": (odd,)}))
    assert "<script" not in section.svg

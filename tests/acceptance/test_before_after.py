"""What varnish and heat should have left as it was."""

from __future__ import annotations

from typing import Any

import pytest

from bench.acceptance.before_after import compare
from bench.winding.stage import answered
from bench.winding.varnish import tests_around as around_varnish


def step(id_: str, measured: float | None, uncertainty: float = 0.0, unit: str = "ohm") -> dict[str, Any]:
    return {"id": id_, "label": id_, "measured": measured, "uncertainty": uncertainty, "unit": unit}


@pytest.mark.parametrize(
    ("id_", "after", "is_a_sign"),
    [
        ("insulation:ht", 3.0, False), ("insulation:ht", 0.85, False), ("insulation:ht", 0.7, True),
        ("resistance:ht", 1.009, False), ("resistance:ht", 1.02, True), ("resistance:ht", 0.98, True),
        ("ratio:ht", 1.004, False), ("ratio:ht", 0.99, True), ("turns:ht", 1.01, True),
        ("exciting:100", 1.08, False), ("exciting:100", 1.2, True), ("exciting:100", 0.7, False),
        ("core_watts", 1.04, False), ("core_watts", 1.1, True), ("core_watts", 0.9, False),
    ],
)  # fmt: skip
def test_a_change_is_a_sign_beyond_what_its_kind_lets_pass(id_: str, after: float, is_a_sign: bool) -> None:
    (one,) = compare([step(id_, 1.0)], [step(id_, after)])
    assert bool(one.sign) is is_a_sign


def test_what_the_meters_can_t_tell_is_no_sign() -> None:
    # 2 % more, beside 1 % that passes and 0.8 % of doubt in each reading: 1 + 1.13 %
    (one,) = compare([step("resistance:ht", 100.0, 0.8)], [step("resistance:ht", 102.0, 0.8)])
    assert one.sign == ""
    assert one.words == "resistance:ht: 100.0 ohm before, 102.0 ohm after, +2.0 %"


@pytest.mark.parametrize("other", [None, 0.0, -1.0, "OL"])
def test_what_was_not_read_both_times_is_not_compared(other: Any) -> None:
    assert compare([step("resistance:ht", other)], [step("resistance:ht", 100.0)]) == ()
    assert compare([], [step("resistance:ht", 100.0)]) == ()
    assert compare([step("stack_height", 0.045)], [step("stack_height", 0.05)]) == ()


def test_the_tests_are_those_before_it_was_begun_and_after_the_bake() -> None:
    known = answered([
        (3, {"part": "varnish", "value": "brown"}), (5, {"part": "bake 1", "value": "90 °C 6 h"}),
        (9, {"part": "note", "value": "smells no more"}),
    ])  # fmt: skip
    results: list[tuple[int, str, dict[str, Any]]] = [(n, "result", {"n": n}) for n in (1, 2, 4, 7, 8)]
    assert around_varnish(known, results) == ({"n": 2}, {"n": 8})
    assert around_varnish(known, results[:3]) is None
    assert around_varnish(known, results[2:]) is None
    assert around_varnish(answered([]), results) is None


@pytest.mark.parametrize("at", [2, 6])
def test_a_test_of_what_the_unit_is_no_more_is_not_compared(at: int) -> None:
    known = answered([(3, {"part": "bake 1", "value": "90 °C 6 h"})])
    wound = (at, "winding done", {"winding": "ht"})
    entries: list[tuple[int, str, dict[str, Any]]] = [(1, "result", {}), (7, "result", {}), wound]
    assert around_varnish(known, sorted(entries, key=lambda one: one[0])) is None
    assert around_varnish(known, entries[:2]) is not None

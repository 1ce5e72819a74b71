"""What each volt on the fed winding makes elsewhere, before it is read: by counts, else by plates, else by ohms."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.as_found import AsFound, FoundWinding
from bench.job.core import Core
from bench.survey.step_up import step_ups, unlike_its_ohms
from tests.survey.units import RULES

CORE = Core.model_validate({"lamination": "EI 96", "stack": "45 mm"})
OHMS = {"primary": 3.42, "ht": 176.0}


def windings(**told: dict[str, Any]) -> tuple[FoundWinding, ...]:
    return AsFound.model_validate({"winding": [{"name": name, **more} for name, more in told.items()]}).winding


def of_ht(primary: dict[str, Any], ht: dict[str, Any], ohms: dict[str, float], core: Core = CORE) -> Any:
    return step_ups("primary", windings(primary=primary, ht=ht), ohms, core, RULES)["ht"]


def test_counts_go_before_plates_and_plates_before_ohms() -> None:
    plates = {"nameplate_voltage": "117 V"}, {"nameplate_voltage": "500 V"}
    counts = {"turns": 280.0, "turns_within": 0.5}, {"turns": 1292.0, "turns_within": 2.0}
    counted = of_ht({**plates[0], **counts[0]}, {**plates[1], **counts[1]}, {})
    assert (counted.basis, counted.most) == ("turns counted", pytest.approx(1294 / 279.5))
    told = of_ht(*plates, {})
    # A plate holds under load: open, the smallest units give 1.6 times as much (profiles/limits/survey, nameplate).
    assert (told.basis, told.expected, told.most) == ("nameplates", pytest.approx(500 / 117), pytest.approx(8e2 / 117))
    guessed = of_ht({}, {}, OHMS)
    assert (guessed.basis, guessed.expected) == ("ohms", None)
    # e^(2 x 0.35) of each at the worst, about a ratio of the root of the ohms.
    assert guessed.most == pytest.approx(math.sqrt(176 / 3.42) * math.exp(1.4), rel=1e-6)


def test_one_count_and_the_other_s_ohms_tell_with_the_core_s_window() -> None:
    one = of_ht({"turns": 280.0}, {}, OHMS)
    assert one.basis == "ohms"
    assert 1292 / 280 < one.most < 1292 / 280 * 6


def test_two_guesses_need_no_core() -> None:
    assert of_ht({}, {}, OHMS, Core()).most == pytest.approx(of_ht({}, {}, OHMS).most)


def test_with_a_plate_on_one_side_and_nothing_on_the_other_nothing_tells() -> None:
    assert of_ht({"nameplate_voltage": "117 V"}, {}, {"primary": 3.42}) is None


def test_a_few_turns_of_one_s_own_step_nothing_up() -> None:
    unit = windings(primary={}, probe={"search_coil": True, "turns": 5.0})
    found = step_ups("primary", unit, {}, CORE, RULES)["probe"]
    assert found is not None
    assert found.most == 1.0


@given(st.floats(0.01, 1e3), st.floats(0.01, 1e4))
def test_ohms_raise_what_plates_say_and_never_lower_it(fed: float, other: float) -> None:
    plates = {"nameplate_voltage": "117 V"}, {"nameplate_voltage": "500 V"}
    without, with_ohms = of_ht(*plates, {}), of_ht(*plates, {"primary": fed, "ht": other})
    assert with_ohms.most == max(without.most, math.sqrt(other / fed))


def test_a_fed_winding_with_far_too_few_ohms_is_told_and_a_likely_one_is_not() -> None:
    unit = windings(primary={"nameplate_voltage": "117 V"}, ht={"nameplate_voltage": "500 V"})

    def told(ohms: dict[str, float]) -> str:
        return unlike_its_ohms("primary", step_ups("primary", unit, ohms, CORE, RULES), ohms)

    assert told(OHMS) == ""
    assert told({**OHMS, "ht": 3000.0}) == ""
    assert "the leads of another winding" in told({**OHMS, "primary": 0.049})
    assert told({"primary": 0.049}) == ""

"""Readings that lie far off, or twice at the same place, and what must not be made of them."""

from __future__ import annotations

import pytest

from bench.acceptance.result import StepResult
from bench.acceptance.suspicion import Suspicion
from bench.design.forward import Forward
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.flux import drop_ratio
from bench.diagnosis.hypothesis import Hypothesis
from bench.diagnosis.looks import is_there
from bench.diagnosis.posterior import together
from bench.diagnosis.typed import TypedProblem, TypedReadings
from bench.job.as_found import AsFound
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver

JOB = coastal_receiver()
RULES = rules_named()
FORWARD = Forward(JOB, RULES)
DESIGN = FORWARD.design


def _typed(*texts: str) -> tuple[StepResult, ...]:
    taken = TypedReadings(DESIGN, {})
    return tuple(taken.step(one) for one in texts)


def _ohms(**times: float) -> tuple[StepResult, ...]:
    names = ("primary", "ht.centre", "ht.finish", "rectifier", "heater")
    return _typed(*(f"ohms:{n}={(DESIGN.spans[n].resistance or 0) * times.get(n, 1.0):.4g} ohm" for n in names))


def _shares(steps: tuple[StepResult, ...]) -> dict[str, float]:
    sums: dict[str, float] = {}
    for one, probability in Diagnosis(JOB, RULES, FORWARD).posterior(steps):
        sums[one.fault] = sums.get(one.fault, 0.0) + probability
    return sums


@pytest.mark.parametrize("times", [3.0, 5.0, 8.0, 12.0])
def test_a_winding_whose_ohms_were_read_is_not_open(times: float) -> None:
    shares = _shares(_ohms(heater=times))
    assert shares["winding_open"] < 0.01
    assert shares["joint_poor"] + shares["reading_wrong"] > 0.8


def test_two_watts_at_the_same_volts_are_taken() -> None:
    steps = _typed("watts=5.75 W@138 V", "watts=5.94 W@138 V")
    findings, _ = Diagnosis(JOB, RULES, FORWARD)(steps, ())
    assert findings


def test_what_is_typed_at_a_hundred_volts_is_not_the_reading_at_nominal() -> None:
    (amps,) = _typed("amps=20 mA@100 V")
    assert amps.id == "exciting:100V"
    (low,) = _typed("amps=5 mA@10 V")
    assert low.id == "low_amps"


def test_of_two_faults_each_is_at_its_own_place() -> None:
    both = Hypothesis("turns_wrong+joint_poor", "heater + ht.centre")
    assert is_there(both, "joint_poor", "ht.centre")
    assert not is_there(both, "joint_poor", "heater")
    elsewhere = Suspicion("turns_wrong+winding_open", "primary + heater", "", 0.9, "")
    assert not elsewhere.is_dangerous("primary")
    assert Suspicion("winding_open", "primary", "", 0.9, "").is_dangerous("primary")


def test_two_faults_of_one_winding_both_act_on_its_ohms() -> None:
    strand = Hypothesis("strand_open", "heater", variant=Variant(resistance_factor={"heater": 2.0}))
    wire = Hypothesis("wire_wrong", "heater", variant=Variant(resistance_factor={"heater": 1.5, "ht": 1.2}))
    both = together(strand, wire)
    assert both is not None
    assert both.variant.resistance_factor == {"heater": 3.0, "ht": 1.2}
    assert both.parts == (strand, wire)
    low = [Hypothesis("insulation_low", name, low_insulation=name) for name in ("primary", "ht")]
    assert together(*low) is None


def test_a_primary_of_twice_its_ohms_drops_twice_as_much() -> None:
    thin = FORWARD(Variant(resistance_factor={"primary": 2.0}))
    assert drop_ratio(thin, DESIGN, 230.0) == pytest.approx(1 - DESIGN.drop(230.0), abs=2e-6)


def test_taps_of_the_primary_have_curves_of_their_own() -> None:
    forward = Forward(JOB, RULES)
    fewer = forward(Variant(turns_added={"primary": -30}))
    assert fewer.curve is not None
    assert DESIGN.curve is not None
    again = forward(Variant()).curve
    assert again is not None
    assert fewer.curve.current_at(230.0) > 1.05 * DESIGN.curve.current_at(230.0)
    assert again.current_at(230.0) == pytest.approx(DESIGN.curve.current_at(230.0))


@pytest.mark.parametrize("power", [False, True])
def test_watts_that_nobody_read_are_no_surer_for_currents_that_were(power: bool) -> None:
    assert DESIGN.curve is not None
    curve = DESIGN.curve
    points = [
        {"voltage": f"{v} V", "current": f"{curve.current_at(v):.7f} A"}
        | ({"power": f"{curve.watts_at(v):.6f} W"} if power else {})
        for v in (30.0, 60.0, 115.0, 170.0, 230.0, 253.0)
    ]
    found = AsFound.model_validate({"winding_turns": 662, "frequency": "50 Hz", "exciting": points})
    design = Forward(JOB.model_copy(update={"as_found": found}), RULES).design
    assert design.curve is not None
    surer = design.curve.u_log_watts_at(138.0) < 0.8 * curve.u_log_watts_at(138.0)
    assert surer is power
    assert (design.core_read.amps, design.core_read.watts, design.core_read.low) == (True, power, power)


def test_a_good_unit_read_by_a_coarse_hand_meter_is_not_told_a_shorted_turn() -> None:
    # One per cent and three counts: 6.55 V where 6.592 are due is two counts and a half.
    coarse = {Quantity.VOLTAGE_AC: Accuracy(1.0, counts=3.0)}
    taken = TypedReadings(DESIGN, coarse)
    texts = ("volts:heater=6.55 V@230.0 V", "volts:ht=539 V@230.0 V", "volts:rectifier=5.20 V@230.0 V")
    shares = _shares(tuple(taken.step(one) for one in texts))
    assert shares["none"] > 0.5
    assert shares["turns_shorted"] < 0.1


@pytest.mark.parametrize("watts", [12, 14, 16, 18, 20, 22, 25])
def test_a_closed_turn_of_any_ohms_is_told_by_its_watts(watts: int) -> None:
    shares = _shares(_typed(f"watts={watts} W@230.0 V"))
    # So many watts may be those of joined laminations too, up to three times the design's.
    assert shares["turns_shorted"] + shares["screen_closed"] + shares["laminations_bridged"] * (watts < 15) > 0.8


def test_an_open_winding_can_be_typed_and_too_many_volts_are_none() -> None:
    (step,) = _typed("ohms:heater=OL")
    assert (step.measured, step.verdict) == (None, "rejected")
    assert _shares((step,))["winding_open"] > 0.9
    assert _shares(_typed("volts:heater=13.2 V@230 V"))["winding_open"] < 0.01


def test_two_halves_that_oppose_give_no_volts_to_compare_with() -> None:
    assert _shares(_typed("backfed:primary-ht=228.1 V@535.9 V"))["none"] > 0.5


def test_a_stack_by_the_yard_is_a_slip() -> None:
    with pytest.raises(TypedProblem, match="the design's stack is 45"):
        _typed("stack=900 mm")

"""The exciting current by ammeter, across a known resistor, or by two meters at once: whichever the bench has."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bench.acceptance.current_ways import bent_by_resistor, current_way
from bench.acceptance.decision import Verdict
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.peaky_current import as_rms
from bench.acceptance.requests import Connect, Excite, Take
from bench.acceptance.result import StepResult
from bench.design.core_drawn import magnetic_core
from bench.design.expected import expect
from bench.estimate import Estimate
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.magnetics.excitation import exciting, exciting_at_terminals
from bench.whole_test import rules_named
from drivers.mean_responding import SINE_FORM_FACTOR
from drivers.meter_profile import Response
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import ALL, new_procedure, run_ideal

NO_AMPS = ALL - {Quantity.CURRENT_AC}
POINTS = ("exciting:50", "exciting:75", "exciting:100", "exciting:110")


def steps(**equipment: Any) -> dict[str, StepResult]:
    result, _ = run_ideal(equipment=equipment)
    return {step.id: step for step in result.steps}


def test_without_an_ammeter_the_current_is_read_across_the_known_resistor() -> None:
    found = steps(quantities=NO_AMPS, series_ohms=100.0)
    for point in POINTS:
        step = found[point]
        assert step.verdict is Verdict.ACCEPTED
        assert step.measured == pytest.approx(step.expected, rel=1e-3)
        assert "read as volts across 100 ohm" in step.note
        assert {"series resistor"} <= {component.source for component in step.components}


def test_the_volts_are_those_on_the_winding_and_the_source_gives_what_the_resistor_takes_besides() -> None:
    _, bench = run_ideal(equipment={"quantities": NO_AMPS, "series_ohms": 1000.0})
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.step == "exciting:100" and r.volts > 0]
    assert fed
    assert all(r.series_ohms == 1000.0 and 230.0 < r.volts < 290.0 for r in fed)
    places = {(r.from_terminal, r.to_terminal) for r in bench.seen if isinstance(r, Connect) and "exciting" in r.step}
    assert places == {("primary.start", "primary.finish"), ("resistor.supply", "resistor.winding")}


def test_a_resistor_that_would_burn_or_takes_too_much_is_no_way() -> None:
    assert "exciting:100" not in steps(quantities=NO_AMPS, series_ohms=1000.0, series_watts=0.5)
    assert "exciting:100" not in steps(quantities=NO_AMPS, series_ohms=5000.0)


@pytest.mark.parametrize(("u_amps", "words"), [(0.005, "by the ammeter"), (0.03, "as volts across 100 ohm")])
def test_the_better_of_two_ways_is_taken_by_numbers(u_amps: float, words: str) -> None:
    def doubt_of(quantity: Quantity, value: float) -> float:
        return value * (u_amps if quantity is Quantity.CURRENT_AC else 0.002)

    context = new_procedure(series_ohms=100.0, doubt_of=doubt_of).context
    assert context.expectation.curve is not None
    way = current_way(context, context.expectation.curve)
    assert way is not None
    assert way.words == words


def test_volts_and_amps_on_a_meter_each_are_read_at_one_excitation_with_no_lead_moved() -> None:
    result, bench = run_ideal(equipment={"at_once": True})
    steps = {step.id: step for step in result.steps}
    assert steps["exciting:100"].verdict is Verdict.ACCEPTED
    assert "variac set twice" not in {c.source for c in steps["exciting:100"].components}
    seen = [r for r in bench.seen if getattr(r, "step", "").startswith("exciting") and not isinstance(r, Connect)]
    kinds = [(type(r).__name__, getattr(r, "quantity", None)) for r in seen[:6]]
    both = [("Excite", None), ("Take", Quantity.VOLTAGE_AC), ("Take", Quantity.CURRENT_AC)]
    assert kinds == both * 2
    assert sum(isinstance(r, Connect) and r.step == "exciting" for r in bench.seen) == 2


def test_a_mean_responding_meter_is_corrected_for_the_wave_that_the_design_expects() -> None:
    """A meter that shows 1.1107 times the mean of the magnitude gives the RMS after all."""
    curve = new_procedure().context.expectation.curve
    assert curve is not None
    form = curve.form_factor_at(253.0)
    assert form is not None

    def mean_responding(take: Take, connect: Connect, value: float) -> float:
        if take.quantity is not Quantity.CURRENT_AC or not take.step.startswith("exciting:"):
            return value
        share = float(take.step.partition(":")[2]) / 100
        shown = curve.form_factor_at(share * 230.0)
        assert shown is not None
        return value * SINE_FORM_FACTOR / shown

    wave = WaveReading(Response.MEAN)
    result, _ = run_ideal(equipment={"wave_of": lambda quantity: wave}, change=mean_responding)
    top = next(step for step in result.steps if step.id == "exciting:110")
    assert top.measured == pytest.approx(top.expected, rel=1e-3)
    assert "mean-responding meter" in top.note
    part = next(c for c in top.components if c.source == "wave of the current")
    assert part.u == pytest.approx(0.5 * abs(form / SINE_FORM_FACTOR - 1) * (top.measured or 0.0), rel=0.01)


def test_a_meter_of_which_nobody_says_it_is_taken_half_way_with_room_for_both() -> None:
    curve = new_procedure().context.expectation.curve
    assert curve is not None
    full, _ = as_rms(Estimate(1.0), WaveReading(Response.MEAN), curve, 253.0, None)
    half, note = as_rms(Estimate(1.0), WaveReading(), curve, 253.0, None)
    assert half.value - 1.0 == pytest.approx((full.value - 1.0) / 2)
    assert half.u * math.sqrt(3) == pytest.approx(half.value * (full.value - 1.0) / 2)
    assert "nobody says" in note


def test_a_crest_factor_beyond_the_meter_s_widens_the_reading_and_room_in_the_range_lifts_the_limit() -> None:
    curve = new_procedure().context.expectation.curve
    assert curve is not None
    crest = curve.crest_factor_at(253.0)
    assert crest is not None
    tight = WaveReading(Response.TRUE_RMS, 10.0, crest / 1.2)
    at_full_scale, note = as_rms(Estimate(1.0), tight, curve, 253.0, 1.0)
    lower_in_range, none = as_rms(Estimate(1.0), tight, curve, 253.0, 2.0)
    assert at_full_scale.u == pytest.approx(0.2 / math.sqrt(3))
    assert "crest factor" in note
    assert (lower_in_range.u, none) == (0.0, "")
    anywhere, _ = as_rms(Estimate(1.0), WaveReading(Response.TRUE_RMS, crest / 1.2), curve, 253.0, 2.0)
    assert anywhere.u == pytest.approx(0.2 / math.sqrt(3))


@pytest.mark.parametrize("name", ["coastal-receiver", "gate-opener"])
@pytest.mark.parametrize("share", [0.5, 1.0, 1.1, 1.2])
@pytest.mark.parametrize("drop", [0.05, 0.35])
def test_what_a_resistor_does_to_the_wave_stays_within_its_doubt(name: str, share: float, drop: float) -> None:
    """Against the periodic solution of the same core behind that resistor."""
    job, rules = read_job(example_job(name)), rules_named()
    core, curve = magnetic_core(job, rules["assembly"]), expect(job, rules).curve
    assert core is not None
    assert curve is not None
    assert job.primary is not None
    assert job.supply is not None
    turns, hertz, volts = float(job.primary.turns or 0), job.supply.frequency, share * job.supply.voltage
    alone = exciting(core, turns, volts, hertz).current
    ohms = drop * volts / alone
    low, high = volts, 3 * volts
    for _ in range(40):
        source = (low + high) / 2
        behind = exciting_at_terminals(core, turns, source, hertz, ohms)
        low, high = (source, high) if behind.emf < volts else (low, source)
    across = behind.current * ohms / volts
    assert abs(behind.current / alone - 1) <= bent_by_resistor(curve.slope_at(volts), across)

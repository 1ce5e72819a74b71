"""The campaign `decisions` in short, and that what it counts as true, false and good is so.

At full length, with all four classes of meter: python -m tests.campaigns decisions
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Take
from bench.job.expectation import Expectation
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.probe import Probe
from bench.rehearsal.supply import Source
from bench.rehearsal.variation import nominal_variation
from bench.rehearsal.wiring import Connection, Excitation
from bench.rehearsal.wiring import Quantity as BenchQuantity
from bench.rehearsal.workbench import Workbench
from bench.whole_test import rules_named
from drivers.reading import Quantity, State
from tests.campaigns.decisions.conformity import Judged, judged_quantities
from tests.campaigns.decisions.meters import CLASSES, ClassMeter
from tests.campaigns.decisions.one_solution import Leads, SharedBench
from tests.campaigns.decisions.one_unit import Outcome, forward_of, run_unit
from tests.campaigns.decisions.population import JOBS, Drawn, job_named
from tests.campaigns.decisions.tally import tally_decisions, tally_units
from tests.campaigns.decisions.time_at_the_bench import BenchTime
from tests.campaigns.decisions.truth import PerfectBench

_SEEDS = range(200, 216)
_CLASSES = ("0.05", "1")


@pytest.fixture(scope="module")
def outcomes() -> list[Outcome]:
    return [one for seed in _SEEDS for one in run_unit(seed, _CLASSES)]


def test_what_does_not_conform_is_not_accepted_and_what_does_is_not_rejected(outcomes: Sequence[Outcome]) -> None:
    wrong = [one for one in outcomes if one.verdict is (Verdict.REJECTED if one.conforms else Verdict.ACCEPTED)]
    assert wrong == []
    assert {one.conforms for one in outcomes} == {True, False}


def test_the_sharp_meter_decides_and_the_blunt_one_says_that_it_can_not(outcomes: Sequence[Outcome]) -> None:
    sharp, blunt = (tally_units(outcomes)[name] for name in _CLASSES)
    assert sharp.undecided_good <= 0.25
    assert blunt.undecided_good > 0.5


def test_every_step_judges_against_the_limits_of_the_rules(outcomes: Sequence[Outcome]) -> None:
    assert [row.kind for row in tally_decisions(outcomes).values() if row.own_limits] == []


def test_the_truth_of_what_is_most_often_judged_is_known(outcomes: Sequence[Outcome]) -> None:
    known = {row.kind for row in tally_decisions(outcomes).values() if not row.unknown}
    assert known >= {"resistance", "insulation", "ratio", "turns", "exciting", "core_watts", "open_circuit"}


@pytest.mark.parametrize("name", JOBS)
def test_a_unit_as_drawn_has_the_turns_and_the_ways_round_of_its_job(name: str) -> None:
    perfect, design = _perfect(name)
    for span in design.spans.values():
        if span.winding != design.fed:
            assert perfect.turns(span) == pytest.approx(abs(span.turns))


def test_truth_sees_reversed_missing_and_broken_turns() -> None:
    perfect, design = _perfect(
        "amplifier", "winding_reversed:heater", "turns_wrong:ht.centre=-12", "turns_wrong:primary=4"
    )
    spans = design.spans
    scale = 760 / 764
    assert perfect.turns(spans["heater"]) == pytest.approx(-22 * scale)
    assert perfect.turns(spans["ht.centre"]) == pytest.approx(858 * scale)
    assert perfect.turns(spans["ht"]) == pytest.approx(1728 * scale)
    broken, design = _perfect("bell", "winding_open:bell")
    assert math.isnan(broken.turns(design.spans["bell"]))


@pytest.mark.parametrize(
    ("fault", "step"),
    [
        ("turns_wrong:heater=2", "turns:heater"),
        ("winding_reversed:heater", "polarity:heater"),
        ("core_gap=0.2 mm", "exciting:50"),
        ("core_stack_short=5 %", "stack_height"),
        ("insulation_low:ht,core=20 Mohm", "insulation:ht"),
        ("turns_shorted:primary=0.01 ohm", "core_watts"),
        ("winding_open:rectifier", "resistance:rectifier"),
    ],
)
def test_a_plain_fault_puts_its_quantity_out_of_its_limits(fault: str, step: str) -> None:
    good = judged_quantities(*_perfect("amplifier"), rules_named())
    bad = judged_quantities(*_perfect("amplifier", fault), rules_named())
    assert good[step].conforms
    assert not bad[step].conforms


def test_a_value_on_its_limit_conforms_and_no_number_does_not() -> None:
    assert Judged("x", 16.0, 14.0, 16.0).conforms
    assert Judged("x", 16.0, 14.0, 16.0).on_limit
    assert not Judged("x", 15.9, 14.0, 16.0).on_limit
    assert not Judged("x", 16.01, 14.0, 16.0).conforms
    assert not Judged("x", math.nan, 0.0).conforms


@pytest.mark.parametrize("name", CLASSES)
def test_a_meter_errs_within_its_class_and_alike_all_over_a_range(name: str) -> None:
    bench = SharedBench(job_named("bell"), nominal_variation())
    meter = ClassMeter(name, Leads(bench, 1), 1, BenchTime())
    for quantity in meter.quantities:
        for here in CLASSES[name].functions()[quantity].ranges:
            gain, offset = meter.errors(quantity, here)
            assert 0 < abs(gain - 1) <= here.accuracy.percent_of_reading / 100
            assert abs(offset) <= here.accuracy.percent_of_range / 100 * here.full_scale
            assert meter.errors(quantity, here) == (gain, offset)


def test_a_reading_differs_from_the_truth_by_the_meters_own_error_and_says_how_far_it_may() -> None:
    bench, time = SharedBench(job_named("bell"), nominal_variation()), BenchTime()
    meter = ClassMeter("0.2", Leads(bench, 7), 7, time)
    place = Connect("x", Quantity.RESISTANCE_4W, "primary.start", "primary.finish")
    bench.connect(Connection(BenchQuantity.RESISTANCE_4W, place.from_terminal, place.to_terminal), (), 0.0)
    reading = meter.take(Take("x", Quantity.RESISTANCE_4W, None), place)
    here = next(
        one for one in CLASSES["0.2"].functions()[Quantity.RESISTANCE_4W].ranges if one.full_scale == reading.span
    )
    gain, offset = meter.errors(Quantity.RESISTANCE_4W, here)
    true = bench.resistance(place.from_terminal, place.to_terminal)
    assert reading.value == pytest.approx(true * gain + offset, abs=5 * here.noise + here.resolution)
    assert reading.value is not None
    assert abs(reading.value - true) <= 2 * reading.standard_uncertainty
    assert time.now > 0


def test_a_reading_beyond_the_range_is_over_range() -> None:
    bench = SharedBench(job_named("bell"), nominal_variation())
    meter = ClassMeter("1", Leads(bench, 7), 7, BenchTime())
    place = Connect("x", Quantity.RESISTANCE, "primary.start", "primary.finish")
    bench.connect(Connection(BenchQuantity.RESISTANCE, place.from_terminal, place.to_terminal), (), 0.0)
    assert meter.take(Take("x", Quantity.RESISTANCE, 150.0), place).state is State.OVERLOAD


def test_one_solution_reads_what_the_bench_itself_does_with_its_voltmeter_on() -> None:
    job = job_named("amplifier")
    plain, shared = Workbench(job, nominal_variation()), SharedBench(job, nominal_variation())
    here = Connection(BenchQuantity.VOLTAGE_AC, "ht.start", "ht.finish")
    for bench in (plain, shared):
        bench.excite(Excitation("primary.start", "primary.finish", 230.0, Source.VARIAC), 0.0)
        bench.connect(here, (), 0.0)
    assert Leads(shared, 0).voltage(1.0) == pytest.approx(Probe(plain, 0).voltage(1.0), rel=5e-5)
    assert plain.wiring.connection == shared.leads == here


def test_a_run_that_accepts_too_much_or_tells_too_little_breaks_the_bar() -> None:
    bad = Judged("turns:x", 3.0, 1.0, 2.0)
    plain = Outcome(0, "bell", "0.05", (), (), Verdict.ACCEPTED, "", "", ())
    some = [plain] * 88 + [replace(plain, verdict=Verdict.UNDECIDED)] * 12
    false = [replace(plain, nonconforming=(bad,), verdict=Verdict.REJECTED)] * 97
    false += [replace(plain, nonconforming=(bad,))] * 3
    failings = tally_units([*some, *false])["0.05"].failings
    assert [line.split(":")[1].strip() for line in failings] == [
        "3.0% false accepts, at most 2.5%",
        "12.0% of good undecided, at most 10%",
    ]
    assert tally_units([*([plain] * 90), *false[:97]])["0.05"].failings == []


def _perfect(name: str, *faults: str) -> tuple[PerfectBench, Expectation]:
    """A unit that differs from its job in these faults alone."""
    job = job_named(name)
    unit = Drawn(0, name, job, nominal_variation(), tuple(parse_fault(fault, job) for fault in faults))
    design = forward_of(name).design
    return PerfectBench(unit, design), design

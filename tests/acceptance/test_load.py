"""Volts on load: with what the bench has, judged at rated load, and a poor joint that only shows there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.context import HANDS_OFF_VOLTS
from bench.acceptance.decision import Verdict
from bench.acceptance.load_bank import choose_load, pieces
from bench.acceptance.requests import Connect, Enter, Excite, Load, Request, Take
from bench.design.loaded import loaded_unit
from bench.job.bench_file import LoadResistor
from bench.job.on_load import copper_at, resistor_volts
from bench.magnetics.load import ResistiveLoad
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import LOADS, coastal_receiver
from tests.acceptance.short import run_short, short_procedure, step_of, undone

KINDS = ("conditions", "open_circuit", "load")


def _resistors(*each: tuple[str, str, int]) -> tuple[LoadResistor, ...]:
    return tuple(
        LoadResistor.model_validate({"resistance": ohms, "power": power, "count": count}) for ohms, power, count in each
    )


def _loads(seen: list[Request]) -> list[Load]:
    return [one for one in seen if isinstance(one, Load) and one.ohms is not None]


def test_volts_on_load_by_the_design_are_those_of_the_circuit_solved_in_time() -> None:
    job = coastal_receiver()
    procedure = short_procedure(*KINDS)
    expectation = procedure.context.expectation
    rated = {w.name: (w.rated_voltage or 0.0, w.rated_current or 1.0) for w in job.secondaries}
    unit = replace(loaded_unit(job, rules_named()), loads=tuple(ResistiveLoad.rated(n, *vi) for n, vi in rated.items()))
    solved = unit.solve(temperature=333.15).windings
    linear = resistor_volts(expectation, {n: v / i for n, (v, i) in rated.items()}, 230.0, copper_at(333.15))
    assert linear == {name: pytest.approx(solved[name].voltage, rel=2e-3) for name in rated}


def test_a_good_unit_gives_its_rated_volts_alone_and_together() -> None:
    result, bench = run_short(short_procedure(*KINDS))
    for name in ("ht", "rectifier", "heater"):
        assert step_of(result, f"loaded:{name}").verdict is Verdict.ACCEPTED
        assert step_of(result, f"loaded_all:{name}").verdict is Verdict.ACCEPTED
    assert "brought to all windings loaded" in step_of(result, "loaded:heater").note
    assert "61558-1 clause 11, from memory" in step_of(result, "loaded:heater").basis
    assert len(_loads(bench.seen)) == 6


def test_alone_and_together_tell_the_same_rated_volts() -> None:
    result, _ = run_short(short_procedure(*KINDS), u=1e-6)
    for name in ("ht", "rectifier", "heater"):
        alone, together = step_of(result, f"loaded:{name}"), step_of(result, f"loaded_all:{name}")
        assert alone.measured == pytest.approx(together.measured, rel=5e-4)


def test_regulation_is_stated_with_its_doubt_and_without_a_limit() -> None:
    result, _ = run_short(short_procedure(*KINDS))
    step = step_of(result, "regulation:heater")
    idle, loaded = step_of(result, "open_circuit:heater"), step_of(result, "loaded:heater")
    assert step.measured == pytest.approx((idle.measured or 0) / (loaded.measured or 1) - 1)
    assert (step.lower, step.upper) == (None, None)
    assert step.u > 0
    assert "copper cold" in step.note


def test_a_joint_that_is_poor_on_load_is_rejected_after_a_second_look() -> None:
    looked: list[str] = []

    def poor(take: Take, connect: Connect, value: float) -> float:
        looked.append(take.step)
        return value * 0.9 if take.step == "loaded:heater" else value

    result, _ = run_short(short_procedure(*KINDS), change=poor)
    assert step_of(result, "loaded:heater").verdict is Verdict.REJECTED
    assert looked.count("loaded:heater") == 2


def test_a_reading_on_load_that_is_not_repeated_is_laid_to_the_reading() -> None:
    seen: list[str] = []

    def slipped(take: Take, connect: Connect, value: float) -> float:
        seen.append(take.step)
        return value / 10 if take.step == "loaded:heater" and seen.count(take.step) == 1 else value

    result, _ = run_short(short_procedure(*KINDS), change=slipped)
    assert step_of(result, "loaded:heater").verdict is Verdict.TROUBLE


def test_the_tolerance_of_the_load_is_a_component() -> None:
    result, _ = run_short(short_procedure(*KINDS))
    step = step_of(result, "loaded:heater")
    part = next(one for one in step.components if one.source == "load resistor")
    # 5 % of the load is about 3.6 % of its drop, and the drop a twentieth of the volts.
    assert part.u == pytest.approx(0.05 / 3**0.5 * 0.04 * 6.3, rel=0.3)


def test_a_bench_without_load_resistors_asks_for_one_and_takes_its_ohms() -> None:
    result, bench = run_short(short_procedure(*KINDS, load_resistors=()), typed={"loaded:heater": "2.2"})
    ask = next(r for r in bench.seen if isinstance(r, Enter) and r.step == "loaded:heater")
    assert ask.expected == pytest.approx(6.3 / 3)
    assert next(one.ohms for one in _loads(bench.seen) if one.winding == "heater") == 2.2
    assert step_of(result, "loaded:heater").verdict is Verdict.ACCEPTED


@pytest.mark.parametrize("typed", ["21 ohm", "0.2 ohm", "0"])
def test_a_load_far_from_what_is_due_is_asked_again(typed: str) -> None:
    _, bench = run_short(short_procedure(*KINDS, load_resistors=()), typed={"loaded:heater": typed})
    asked = [r.text for r in bench.seen if isinstance(r, Enter) and r.step == "loaded:heater"]
    assert "expected more than 1.400 ohm, at most 3.150 ohm" in asked[1]


def test_no_load_for_one_winding_leaves_all_together_undone() -> None:
    result, _ = run_short(short_procedure(*KINDS, load_resistors=()), skipped=frozenset({"loaded:heater"}))
    assert undone(result)["loaded:heater"] == "not today"
    assert undone(result)["loaded_all:ht"] == "heater has no load"
    assert step_of(result, "loaded:ht").verdict is Verdict.ACCEPTED
    assert not any(one.required for one in result.not_done if one.id.startswith("loaded"))


def test_loads_are_hung_with_the_volts_at_zero_and_none_is_left() -> None:
    _, bench = run_short(short_procedure(*KINDS))
    live = 0.0
    hung: set[str] = set()
    for request in bench.seen:
        if isinstance(request, Excite):
            live = request.hazard if request.volts else 0.0
        if isinstance(request, Load):
            assert live <= HANDS_OFF_VOLTS
            hung.symmetric_difference_update({request.winding})
    assert hung == set()
    assert "get hot enough" in _loads(bench.seen)[0].cautions[0]


def test_a_winding_rated_without_load_is_held_against_the_design() -> None:
    job = coastal_receiver()
    windings = tuple(w.model_copy(update={"rated_at": "no load"}) if w.name == "heater" else w for w in job.winding)
    result, _ = run_short(short_procedure(*KINDS, job=job.model_copy(update={"winding": windings})))
    step = step_of(result, "loaded:heater")
    assert "names no volts on load" in step.basis
    assert (step.lower or 0) + (step.upper or 0) == pytest.approx(2 * (step.expected or 0))


def test_few_pieces_are_taken_and_none_beyond_its_watts() -> None:
    shelf = pieces(_resistors(("100 ohm", "50 W", 4), ("47 ohm", "5 W", 1)))
    single = choose_load(shelf, 98.0, 50.0, 0.2)
    assert single is not None
    assert (single.ohms, single.words) == (100.0, "100 ohm")
    both = choose_load(shelf, 50.0, 50.0, 0.2)
    assert both is not None
    assert (both.ohms, both.words, len(both.used)) == (50.0, "100 ohm and 100 ohm in parallel", 2)
    # 47 ohm would fit alone and take 53 W
    assert choose_load(pieces(_resistors(("47 ohm", "5 W", 1))), 47.0, 50.0, 0.2) is None
    row = choose_load(shelf, 300.0, 200.0, 0.2)
    assert row is not None
    assert (row.ohms, len(row.used)) == (300.0, 3)


def test_a_resistor_is_in_one_load_at_a_time() -> None:
    one_for_two = (*LOADS[:1], *_resistors(("2.4 ohm", "50 W", 1)))
    result, _ = run_short(short_procedure(*KINDS, load_resistors=one_for_two))
    assert step_of(result, "loaded:heater").verdict is Verdict.ACCEPTED
    assert step_of(result, "loaded:rectifier").verdict is Verdict.ACCEPTED
    assert undone(result)["loaded_all:heater"] == "the load resistors do not suffice for all windings at once"

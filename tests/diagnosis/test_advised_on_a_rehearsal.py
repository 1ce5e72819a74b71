"""What is advised, taken on a rehearsed unit with its own transformer: the answers fit what the diagnosis foretells."""

from __future__ import annotations

import pytest

from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import evidence_of
from bench.diagnosis.faults import FAULTS
from bench.diagnosis.flux import backfed_share
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.prediction import Predictor, Unexplained
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.variation import draw_variation
from bench.whole_test import rules_named
from tests.campaigns.decisions.one_unit import forward_of
from tests.campaigns.decisions.population import Drawn, job_named
from tests.campaigns.diagnosis.extra import answered, typed_answer
from tests.campaigns.diagnosis.population import Diagnosed

NAME = "coastal-receiver"
FORWARD = forward_of(NAME)
UNEXPLAINED = Unexplained(**{name: value for name, value in rules_named()["unexplained"].items() if name != "source"})


def _unit(fault: str = "", place: str = "", size: str = "") -> Diagnosed:
    job = job_named(NAME)
    text = fault + (f":{place}" if place else "") + (f"={size}" if size else "")
    faults = (parse_fault(text, job),) if fault else ()
    return Diagnosed(Drawn(5, NAME, job, draw_variation(job, 5), faults), fault or "none", place, size)


def _off(step: StepResult | None, hypothesis: Hypothesis) -> float:
    """How far a reading lies from what a hypothesis foretells, in its own doubts."""
    assert step is not None
    evidence = evidence_of((step,))
    predicted = Predictor(evidence, FORWARD.design, UNEXPLAINED, {}).predict(hypothesis, FORWARD(hypothesis.variant))
    spread = (evidence.covariance + predicted.covariance)[0, 0] ** 0.5
    return abs(float(evidence.values[0] - predicted.values[0])) / spread


def _hypothesis(fault: str, winding: str, size: str) -> Hypothesis:
    case = Case(job_named(NAME), FORWARD.design, ())
    return next(one for one in FAULTS[fault].hypotheses(case) if (one.winding, one.size) == (winding, size))


GOOD = Hypothesis("none")


def test_a_search_coil_on_a_good_unit_shows_the_primary_s_turns() -> None:
    assert _off(answered(_unit(), "search:10", "0.05"), GOOD) < 3


def test_a_search_coil_shows_that_the_primary_lacks_15_turns() -> None:
    step = answered(_unit("turns_wrong", "primary", "-15"), "search:10", "0.05")
    assert step is not None
    assert step.measured == pytest.approx(10 * 662 / 647, rel=0.005)
    assert _off(step, GOOD) > 4


def test_a_search_coil_does_not_see_a_miscount_of_another_winding() -> None:
    assert _off(answered(_unit("turns_wrong", "heater", "1"), "search:10", "0.05"), GOOD) < 3


def test_fed_back_a_good_unit_reads_as_designed() -> None:
    assert _off(answered(_unit(), "backfed:primary-ht.centre", "0.05"), GOOD) < 3


def test_fed_back_a_gap_explains_the_flux_that_it_drives_beside_the_core() -> None:
    case = Case(job_named(NAME), FORWARD.design, ())
    gap = next(one for one in FAULTS["core_gap"].hypotheses(case) if one.size.startswith("0.1"))
    step = answered(_unit("core_gap", "", "0.1 mm"), "backfed:primary-ht.centre", "0.05")
    assert _off(step, gap) < 2
    assert _off(step, GOOD) > 2


def test_fed_back_a_shorted_turn_of_the_primary_is_missing() -> None:
    """One dead turn of 662 by Kirchhoff's laws; fed from the primary the same unit shows nothing of it."""
    good = answered(_unit(), "backfed:primary-ht.centre", "0.05")
    short = answered(_unit("turns_shorted", "primary", "0 ohm"), "backfed:primary-ht.centre", "0.05")
    assert good is not None
    assert short is not None
    assert (short.measured or 0) / (good.measured or 1) == pytest.approx(1 - 1 / 662, abs=2e-4)
    dead = _hypothesis("turns_shorted", "primary", "one turn closed by 0 ohm")
    foretold = backfed_share(dead, FORWARD(dead.variant), FORWARD.design, "primary", "ht.centre")
    assert foretold == pytest.approx(1 - 1 / 662, abs=1e-6)
    by_search = answered(_unit("turns_shorted", "primary", "0 ohm"), "search:10", "0.05")
    assert _off(by_search, dead) < 3


def test_what_this_bench_cannot_give_is_nothing() -> None:
    assert answered(_unit(), "stack_height", "0.2") is None
    assert answered(_unit("winding_open", "primary"), "search:10", "0.2") is None
    with pytest.raises(ValueError, match="no measurement"):
        typed_answer(_unit(), "weight", "0.2")


def test_a_look_sees_what_is_there_where_it_looks() -> None:
    unit = _unit("joint_poor", "ht", "40 %")
    wanted = {
        "look:joint_poor:ht.finish": "yes", "look:joint_poor:ht.centre": "no", "look:joint_poor:heater": "no",
        "look:core_gap": "no",
    }  # fmt: skip
    assert {name: typed_answer(unit, name, "1", right=1.0) for name in wanted} == {
        name: f"{name}={answer}" for name, answer in wanted.items()
    }
    assert typed_answer(unit, "look:core_gap", "1", right=0.0) == "look:core_gap=yes"

"""Turns that a winding is off by all readings together, though the gain of the meter leaves each of them in doubt."""

from __future__ import annotations

from functools import cache

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.design.forward import Forward
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.posterior import weigh
from bench.diagnosis.prediction import Unexplained
from bench.job.model import Job
from bench.whole_test import rules_named
from drivers.reading import Component, State
from tests.campaigns.decisions.population import job_named

RULES = rules_named()
# A range of which 3 % are in doubt, and hardly anything else: two readings on it are as good as compared.
GAIN, OWN = 0.03, 0.0005


@cache
def _forward() -> Forward:
    return Forward(_job(), RULES)


def _job() -> Job:
    return job_named("twin-rail")


def _turns(name: str, off: float, gain: float) -> StepResult:
    """A section's turns by volts on a range that reads `gain` times too much."""
    drawn = abs(_forward().design.spans[name].turns)
    measured = (drawn + off) * gain
    parts = (Component("gain of the range", GAIN * measured), Component(f"scatter of {name}", OWN * measured))
    return StepResult(
        id=f"turns:{name}", label=name, quantity="turns_by_ratio", winding=name, measured=measured, state=State.GOOD,
        unit="t", verdict=Verdict.UNDECIDED, expected=drawn, u=sum(part.u**2 for part in parts) ** 0.5,
        components=parts, at_volts=230.0,
    )  # fmt: skip


@pytest.mark.parametrize("off", [-3, -2, -1, 1, 2, 3])
@pytest.mark.parametrize("gain", [0.97, 1.0, 1.02])
def test_the_gain_that_two_sections_share_hides_no_turn_between_them(off: int, gain: float) -> None:
    # By itself a section of 94 turns is in doubt by 2.8 of them; the other one says what the range reads too much.
    steps = (_turns("rails.centre", 0, gain), _turns("rails.finish", off, gain))
    posterior = Diagnosis(_job(), {**RULES, "priors": {"none": 0.9, "turns_wrong": 0.1}}, _forward()).posterior(steps)
    likely = max(posterior, key=lambda one: one[1])[0]
    named = {one.size for one, probability in posterior if one.fault == "turns_wrong" and probability > 0.01}
    assert likely.fault == "turns_wrong"
    assert f"{off:+d} turns" in named
    assert not any(abs(int(size.split()[0])) not in (abs(off),) for size in named)


def test_a_good_pair_on_a_range_that_reads_wrong_stays_good() -> None:
    steps = (_turns("rails.centre", 0, 1.02), _turns("rails.finish", 0, 1.02))
    posterior = Diagnosis(_job(), {**RULES, "priors": {"none": 0.9, "turns_wrong": 0.1}}, _forward()).posterior(steps)
    assert max(posterior, key=lambda one: one[1])[0].fault == "none"


def test_without_readings_nothing_is_told() -> None:
    case = Diagnosis(_job(), RULES, _forward()).case(())
    own = Unexplained(**{name: value for name, value in RULES["unexplained"].items() if name != "source"})
    assert {one.hypothesis.fault for one in weigh(case, {"none": 0.5, "turns_wrong": 0.5}, own, _forward())} == {"none"}

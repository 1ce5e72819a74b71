"""What a regulation tells where no ohmmeter can, and a core's own curve where no published one can."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.result import StepResult
from bench.design.forward import forward_for
from bench.diagnosis.diagnose import Diagnosis
from bench.job.as_found import AsFound
from bench.job.expectation import Variant
from bench.job.model import Job
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure

RULES = rules_named()


def _shares(job: Job, steps: tuple[StepResult, ...]) -> dict[tuple[str, str], float]:
    sums: dict[tuple[str, str], float] = {}
    for one, probability in Diagnosis(job, RULES, forward_for(job, RULES)).posterior(steps):
        sums[one.fault, one.winding] = sums.get((one.fault, one.winding), 0.0) + probability
    return sums


def _regulation(measured: float, expected: float) -> StepResult:
    return StepResult(
        "regulation:heater", "regulation of heater", "regulation", "heater", measured, "good", "share", "accepted",
        expected=expected, u=0.002,
    )  # fmt: skip


def test_a_winding_that_no_ohmmeter_reads_tells_its_ohms_by_its_regulation() -> None:
    job = coastal_receiver()
    result = IdealBench(forward_for(job, RULES)(Variant())).run(new_procedure())
    left_out = ("resistance:heater", "regulation:heater")
    steps = tuple(one for one in result.steps if one.id not in left_out)
    good = _shares(job, (*steps, _regulation(0.052, 0.052)))
    design = forward_for(job, RULES).design
    heater = job.get_winding("heater")
    assert heater.rated_voltage is not None
    assert heater.rated_current is not None
    # Half the wires in hand: the winding's own ohms twice, against the ohms of its load.
    more = (design.spans["heater"].resistance or 0.0) / (heater.rated_voltage / heater.rated_current)
    half = _shares(job, (*steps, _regulation(0.052 + more, 0.052)))
    assert good["strand_open", "heater"] < 0.02
    assert half["strand_open", "heater"] > 0.3
    assert half["none", ""] < 0.1


@pytest.mark.parametrize("found_first", [False, True])
def test_a_small_gap_shows_against_the_curve_of_the_same_core(found_first: bool) -> None:
    job = coastal_receiver()
    design = forward_for(job, RULES).design
    assert design.curve is not None
    if found_first:
        points = [
            {
                "voltage": f"{v} V",
                "current": f"{design.curve.current_at(v):.7f} A",
                "power": f"{design.curve.watts_at(v):.6f} W",
            }
            for v in (30.0, 60.0, 115.0, 170.0, 230.0, 253.0)
        ]
        found = AsFound.model_validate({"winding_turns": 662, "frequency": "50 Hz", "exciting": points})
        job = job.model_copy(update={"as_found": found})
    unit = forward_for(job, RULES)(Variant(joint_added=0.016e-3))
    shares = _shares(job, IdealBench(replace(unit)).run(new_procedure(job)).steps)
    gap = sum(share for (fault, _), share in shares.items() if fault == "core_gap")
    assert (gap > 0.5) is found_first

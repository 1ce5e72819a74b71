"""First power behind a lamp: what a good unit keeps of the volts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.limiter import Limiter
from bench.job.expectation import ExcitingCurve
from tests.acceptance.ideal_bench import IdealBench, new_procedure


def _curve(amps_at_230: float) -> ExcitingCurve:
    volts = np.array([10.0, 100.0, 230.0, 300.0])
    flat = np.zeros(4)
    return ExcitingCurve(volts, amps_at_230 * volts / 230.0, flat, 0.3 * amps_at_230 * volts**2 / 230.0, flat)


def test_at_its_rated_current_a_lamp_has_its_rated_volts() -> None:
    # By definition: 60 W at 230 V is 0.2609 A.
    assert Limiter().drop(60 / 230) == pytest.approx(230.0)


def test_a_cold_filament_has_a_fifteenth_of_its_hot_resistance() -> None:
    # Published measurement of a 100 W, 120 V lamp: 9.5 ohm cold, 144 ohm hot.
    assert Limiter(watts=100.0, volts=120.0).drop(0.001) / 0.001 == pytest.approx(9.5, rel=0.02)


def test_a_small_unit_keeps_nearly_all() -> None:
    assert Limiter().share_left(_curve(0.045), 230.0, 0.0) > 0.93


def test_a_thirsty_unit_keeps_less_and_a_larger_lamp_gives_it_back() -> None:
    small, large = Limiter(), Limiter(watts=200.0)
    assert small.share_left(_curve(0.25), 230.0, 0.0) < 0.7
    assert large.share_left(_curve(0.25), 230.0, 0.0) > small.share_left(_curve(0.25), 230.0, 0.0) + 0.2


def test_share_and_drop_add_up_to_the_supply() -> None:
    curve, limiter = _curve(0.2), Limiter()
    share = limiter.share_left(curve, 230.0, 0.0)
    assert share * 230.0 + limiter.drop(curve.current_at(share * 230.0)) == pytest.approx(230.0)


@pytest.mark.parametrize(("times", "verdict"), [(1.0, Verdict.ACCEPTED), (0.3, Verdict.REJECTED)])
def test_a_unit_that_keeps_what_its_design_allows_passes_first_power(times: float, verdict: Verdict) -> None:
    procedure = new_procedure()
    context = procedure.context
    context.expectation = replace(context.expectation, curve=_curve(0.25))
    kept = context.equipment.limiter.share_left(_curve(0.25), 230.0, 0.0) * times

    def behind_the_lamp(take, connect, value):  # type: ignore[no-untyped-def]
        return value * kept if take.step == "first_power" else value

    result = IdealBench(context.expectation, change=behind_the_lamp).run(procedure)
    assert next(step for step in result.steps if step.id == "first_power").verdict is verdict

"""Readings that no transformer gives, or that are not there: laid to the reading, never for or against the unit."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Excite, Take
from tests.acceptance.ideal_bench import coastal_receiver, run_ideal

Change = Callable[[Take, Connect, float], float | None]


def _amps(to: float) -> Change:
    return lambda take, connect, value: to if take.quantity.unit == "A" else value


def _volts_of(step: str, to: float | None) -> Change:
    return lambda take, connect, value: to if take.step == step and take.quantity.unit == "V" else value


def _both_halved(take: Take, connect: Connect, value: float) -> float:
    both = connect.from_terminal == "resistor.supply" and connect.to_terminal != "resistor.winding"
    return value * 0.5 if both else value


@pytest.mark.parametrize(
    ("change", "step"),
    [
        (_amps(0.0), "exciting:100"),
        (_amps(-0.03), "exciting:100"),
        (_volts_of("exciting:75", None), "exciting:75"),
        (_volts_of("exciting:75", 0.0), "exciting:75"),
        (_volts_of("exciting:75", -172.5), "exciting:75"),
        (_both_halved, "core_watts"),
        (_volts_of("core_watts", None), "core_watts"),
        (_volts_of("core_watts", 0.0), "core_watts"),
        (_volts_of("first_power", None), "first_power"),
        (_volts_of("first_power", 0.0), "first_power"),
    ],
)
def test_it_is_trouble_of_the_reading(change: Change, step: str) -> None:
    result, _ = run_ideal(change=change)
    assert result.verdict is Verdict.TROUBLE
    found = next(one for one in result.steps if one.id == step)
    assert found.verdict is Verdict.TROUBLE
    assert (found.measured is None) is (found.state != "good")


@pytest.mark.parametrize("volts", [0.0, 1.0, 5.0])
def test_a_series_reading_that_is_neither_sum_nor_difference_proves_no_polarity(volts: float) -> None:
    def stray(take: Take, connect: Connect, value: float) -> float:
        return volts if take.step == "polarity:heater" and connect.links else value

    result, _ = run_ideal(change=stray)
    assert next(one for one in result.steps if one.id == "polarity:heater").verdict is Verdict.TROUBLE


def test_a_series_reading_that_was_slipped_once_is_taken_again() -> None:
    slipped = []

    def once(take: Take, connect: Connect, value: float) -> float:
        if take.step != "polarity:heater" or not connect.links:
            return value
        slipped.append(take)
        return 0.0 if len(slipped) == 1 else value

    result, _ = run_ideal(change=once)
    assert result.verdict is Verdict.ACCEPTED


def test_a_supply_that_drifts_does_not_decide_the_polarity_of_one_turn() -> None:
    job = coastal_receiver()
    windings = tuple(w.model_copy(update={"turns": 1, "layers": ()}) if w.name == "heater" else w for w in job.winding)

    def drifted(take: Take, connect: Connect, value: float) -> float:
        return value * 1.003 if take.step == "polarity:heater" and connect.links else value

    result, _ = run_ideal(job.model_copy(update={"winding": windings}), change=drifted)
    assert next(one for one in result.steps if one.id == "polarity:heater").verdict is not Verdict.REJECTED


@pytest.mark.parametrize("volts", [None, 0.0])
def test_first_power_that_shows_no_volts_goes_no_further(volts: float | None) -> None:
    result, bench = run_ideal(change=_volts_of("first_power", volts))
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac" and r.volts]
    assert all(request.limiter for request in fed)
    assert "no volts were read" in next(one.reason for one in result.not_done if one.id == "exciting:100")


def test_a_core_far_better_than_its_design_is_no_fault() -> None:
    result, _ = run_ideal(change=lambda take, connect, value: value * 0.2 if take.quantity.unit == "A" else value)
    assert result.verdict is Verdict.ACCEPTED

"""Readings that no transformer gives, or that are not there: laid to the reading, never for or against the unit."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Excite, Take
from tests.acceptance.ideal_bench import run_ideal

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


@pytest.mark.parametrize("volts", [None, 0.0])
def test_first_power_that_shows_no_volts_goes_no_further(volts: float | None) -> None:
    result, bench = run_ideal(change=_volts_of("first_power", volts))
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac" and r.volts]
    assert all(request.limiter for request in fed)
    assert "no volts were read" in next(one.reason for one in result.not_done if one.id == "exciting:100")


def test_a_core_far_better_than_its_design_is_no_fault() -> None:
    result, _ = run_ideal(change=lambda take, connect, value: value * 0.2 if take.quantity.unit == "A" else value)
    assert result.verdict is Verdict.ACCEPTED

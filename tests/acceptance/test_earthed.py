"""Core, band and screens on the earth lead before first power."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Connect, Excite, Take
from bench.acceptance.result import StepResult, TestResult
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import ALL, IdealBench, coastal_receiver, run_ideal

Change = Callable[[Take, Connect, float], float | None]


def _step(result: TestResult, name: str) -> StepResult:
    return next(one for one in result.steps if one.id == name)


def _to(step: str, ohms: float | None) -> Change:
    return lambda take, connect, value: ohms if take.step == step else value


def _mains(bench: IdealBench) -> list[Excite]:
    return [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac" and r.volts]


def test_each_is_read_from_the_earth_lead_before_any_mains() -> None:
    result, bench = run_ideal()
    places = [(r.from_terminal, r.to_terminal) for r in bench.seen if isinstance(r, Connect) and "earthed" in r.step]
    assert places == [("earth.lead", "core"), ("earth.lead", "screen.far_lead")]
    last = max(i for i, r in enumerate(bench.seen) if isinstance(r, Connect) and "earthed" in r.step)
    assert last < next(i for i, r in enumerate(bench.seen) if isinstance(r, Excite) and r.source == "variac")
    assert _step(result, "earthed:core").upper == 1.0


def test_the_far_end_of_a_screen_is_never_joined() -> None:
    _, bench = run_ideal()
    text = next(r.text for r in bench.seen if isinstance(r, Confirm) and r.step == "earthed")
    assert text.startswith("Join core and screen.lead to the earth lead")
    assert "Never screen.far_lead as well" in text


def test_a_band_is_read_too() -> None:
    job = coastal_receiver()
    result, _ = run_ideal(job.model_copy(update={"core": job.core.model_copy(update={"band": True})}))
    assert result.verdict is Verdict.ACCEPTED
    assert _step(result, "earthed:band").verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(("body", "fault"), [("screen", "screen_unearthed"), ("core", "")])
@pytest.mark.parametrize("ohms", [None, 12.0])
def test_what_is_not_earthed_is_rejected_and_bars_mains(body: str, fault: str, ohms: float | None) -> None:
    result, bench = run_ideal(change=_to(f"earthed:{body}", ohms))
    assert _step(result, f"earthed:{body}").verdict is Verdict.REJECTED
    assert result.verdict is Verdict.REJECTED
    assert not _mains(bench)
    assert not fault or result.findings[0].fault == fault


def test_clips_on_varnish_once_are_no_fault() -> None:
    taken: list[str] = []

    def once(take: Take, connect: Connect, value: float) -> float | None:
        taken.append(take.step)
        return None if take.step == "earthed:core" and taken.count("earthed:core") <= 2 else value

    result, bench = run_ideal(change=once)
    assert result.verdict is Verdict.TROUBLE
    assert not _mains(bench)


def test_a_doubt_about_tenths_of_an_ohm_is_no_hazard() -> None:
    result, bench = run_ideal(change=_to("earthed:core", 1.0))
    assert _step(result, "earthed:core").verdict is Verdict.UNDECIDED
    assert _mains(bench)


@pytest.mark.parametrize("step", ["earthed", "earthed:core", "earthed:screen"])
def test_skipped_it_bars_mains(step: str) -> None:
    result, bench = run_ideal(skipped=frozenset({step}))
    assert result.verdict is Verdict.INCOMPLETE
    assert not _mains(bench)


def test_the_leads_of_a_two_wire_meter_are_taken_off() -> None:
    def leads(take: Take, connect: Connect, value: float) -> float:
        return value + 0.3 if take.quantity is Quantity.RESISTANCE else value

    result, _ = run_ideal(change=leads, equipment={"quantities": ALL - {Quantity.RESISTANCE_4W}})
    assert _step(result, "earthed:core").measured == pytest.approx(0.08, abs=1e-6)


def test_a_meter_without_ohms_leaves_it_not_done() -> None:
    result, bench = run_ideal(equipment={"quantities": frozenset({Quantity.VOLTAGE_AC})})
    assert "does not read ohms" in next(one.reason for one in result.not_done if one.id == "earthed:core")
    assert not _mains(bench)

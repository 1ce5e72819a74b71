"""The dielectric test: never by itself, at reduced volts, and what flashes over bars mains."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.acceptance.cautions import Hazard
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Enter, Request
from bench.job.procedure_file import Stage
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver
from tests.acceptance.short import run_answering, run_short, short_procedure, step_of, undone


@pytest.mark.parametrize(
    ("stage", "primary", "ht", "heater"),
    # 2100 V basic and 2 U + 1000 V with U = 539.9 V, 500 V below 50 V: 65 % before varnish, 80 % after
    [(Stage.BEFORE_VARNISH, 1365, 1352, 325), (Stage.AFTER_VARNISH, 1680, 1664, 400)],
)
def test_the_volts_are_reduced_before_varnish_and_four_fifths_after(
    stage: Stage, primary: int, ht: int, heater: int
) -> None:
    result, bench = run_short(short_procedure("conditions", "insulation", "hipot", stage=stage))
    asked = {r.step: r.volts for r in bench.seen if isinstance(r, Enter) and r.quantity is Quantity.TEST_VOLTAGE}
    assert asked["hipot:primary"] == pytest.approx(primary, abs=0.5)
    assert asked["hipot:ht"] == pytest.approx(ht, abs=0.5)
    assert asked["hipot:heater"] == pytest.approx(heater, abs=0.5)
    assert "from memory" in step_of(result, "hipot:primary").basis


def test_without_a_screen_the_mains_winding_is_tested_to_the_others_as_reinforced() -> None:
    job = coastal_receiver().model_copy(update={"screen": ()})
    result, bench = run_short(short_procedure("conditions", "insulation", "hipot", job=job))
    ask = next(r for r in bench.seen if isinstance(r, Enter) and r.step == "hipot:primary,secondaries")
    assert ask.volts == pytest.approx(0.65 * 4200)
    assert ask.between == ("primary", "secondaries")
    assert step_of(result, "hipot:primary,secondaries").verdict is Verdict.ACCEPTED


def test_cautions_stand_before_it_and_discharge_after() -> None:
    _, bench = run_short(short_procedure("conditions", "insulation", "hipot"))
    own = [r for r in bench.seen if isinstance(r, Confirm) and r.step == "hipot"]
    assert own[0].cautions == Hazard.HIPOT.value[0]
    assert "Only if you mean to" in own[0].text
    assert "discharged" in own[-1].text


def _leaks(text: str) -> Callable[[Request], str | None]:
    def answer(request: Request) -> str | None:
        return text if isinstance(request, Enter) and request.quantity is Quantity.LEAKAGE_CURRENT else None

    return answer


@pytest.mark.parametrize("word", ["flashed", "Flashed.", "tripped"])
def test_what_flashes_over_rejects_and_bars_mains(word: str) -> None:
    procedure = short_procedure("conditions", "insulation", "hipot", "soak", reason="")
    result = run_answering(procedure, _leaks(word))
    step = step_of(result, "hipot:primary")
    assert (step.verdict, step.measured, step.at_volts) == (Verdict.REJECTED, None, 1365.0)
    assert undone(result)["hipot:ht"].endswith("flashed over")
    assert "flashed over in the dielectric test" in undone(result)["soak:current"]
    assert result.verdict is Verdict.REJECTED


def test_skipped_it_is_not_required() -> None:
    result, _ = run_short(short_procedure("conditions", "insulation", "hipot"), skipped=frozenset({"hipot"}))
    assert {one for one in undone(result) if one.startswith("hipot")} == {
        "hipot:primary", "hipot:ht", "hipot:rectifier", "hipot:heater",
    }  # fmt: skip
    assert not any(one.required for one in result.not_done)


def test_fewer_volts_than_are_due_prove_less() -> None:
    def weak(request: Request) -> str | None:
        if isinstance(request, Enter) and request.quantity is Quantity.TEST_VOLTAGE and request.step == "hipot:ht":
            return "1000 V"
        return None

    step = step_of(run_answering(short_procedure("conditions", "insulation", "hipot"), weak), "hipot:ht")
    assert step.verdict is Verdict.UNDECIDED
    assert "held 1000 V where 1352 V are due" in step.note


def test_more_leakage_than_a_tester_bears_rejects_without_a_gate() -> None:
    procedure = short_procedure("conditions", "insulation", "hipot")
    step = step_of(run_answering(procedure, _leaks("9,5")), "hipot:primary")
    assert step.measured == pytest.approx(9.5e-3)
    assert step.verdict is Verdict.REJECTED
    assert procedure.context.gates == []


def test_volts_far_beyond_the_whole_test_are_asked_again() -> None:
    _, bench = run_short(short_procedure("conditions", "insulation", "hipot"), typed={"hipot:ht": "13.52 kV"})
    again = [r.text for r in bench.seen if isinstance(r, Enter) and r.step == "hipot:ht"]
    assert "at most 2.288 kV" in again[1]

"""Half an hour without load: what grows rejects, what is cut short is told."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Connect, Enter, Excite, Request, Take, Wait
from bench.job.procedure_file import Stage
from drivers.reading import Quantity
from tests.acceptance.short import run_answering, run_short, short_procedure, step_of, undone

KINDS = ("conditions", "soak")


def test_a_good_unit_takes_as_much_at_the_end_as_at_the_start() -> None:
    result, bench = run_short(short_procedure(*KINDS))
    step = step_of(result, "soak:current")
    assert step.verdict is Verdict.ACCEPTED
    assert step.measured == pytest.approx(0.0, abs=1e-9)
    assert step.u > 0.005  # the dial is set twice, and the current goes with a power of the volts
    assert step_of(result, "soak:temperature").verdict is Verdict.ACCEPTED
    (wait,) = [one for one in bench.seen if isinstance(one, Wait)]
    assert wait.seconds == 1800
    assert any("never left alone" in line for line in wait.cautions)


def test_nothing_is_moved_while_the_time_passes() -> None:
    _, bench = run_short(short_procedure(*KINDS))
    at = next(n for n, one in enumerate(bench.seen) if isinstance(one, Wait))
    before = [one for one in bench.seen[:at] if isinstance(one, (Excite, Connect))]
    assert isinstance(before[-1], Excite)
    assert before[-1].volts == 230.0
    assert isinstance(bench.seen[at + 1], Take)


def _after_the_wait(factor: float) -> tuple[Verdict, float]:
    procedure = short_procedure(*KINDS)
    waited = False

    def creeping(take: Take, connect: Connect, value: float) -> float:
        return value * factor if waited and take.quantity is Quantity.CURRENT_AC else value

    def watch(request: Request) -> None:
        nonlocal waited
        waited = waited or isinstance(request, Wait)

    step = step_of(run_answering(procedure, watch, change=creeping), "soak:current")
    assert step.measured is not None
    return step.verdict, step.measured


@pytest.mark.parametrize(
    ("factor", "verdict"), [(1.05, Verdict.ACCEPTED), (1.5, Verdict.REJECTED), (0.9, Verdict.ACCEPTED)]
)
def test_a_current_that_creeps_up_rejects(factor: float, verdict: Verdict) -> None:
    found, grown = _after_the_wait(factor)
    assert found is verdict
    assert grown == pytest.approx(factor - 1, rel=1e-6)


def test_volts_that_rose_meanwhile_are_not_laid_to_the_unit() -> None:
    procedure = short_procedure(*KINDS)
    curve = procedure.context.expectation.curve
    assert curve is not None
    waited = False

    def more_mains(take: Take, connect: Connect, value: float) -> float:
        if not waited:
            return value
        return curve.current_at(236.9) if take.quantity is Quantity.CURRENT_AC else value * 1.03

    def watch(request: Request) -> None:
        nonlocal waited
        waited = waited or isinstance(request, Wait)

    step = step_of(run_answering(procedure, watch, change=more_mains), "soak:current")
    assert step.measured == pytest.approx(0.0, abs=0.02)


def test_a_core_that_gets_too_hot_rejects() -> None:
    warm = iter(["21 degC", "75 degC"])

    def hot(request: Request) -> str | None:
        return next(warm) if isinstance(request, Enter) and request.place == "core" else None

    result = run_answering(short_procedure(*KINDS), hot)
    step = step_of(result, "soak:temperature")
    assert (step.verdict, step.measured) == (Verdict.REJECTED, pytest.approx(54.0))


@pytest.mark.parametrize(
    ("said", "verdict"),
    [("good", Verdict.ACCEPTED), ("Nothing.", Verdict.ACCEPTED), ("smells of varnish", Verdict.REJECTED)],
)
def test_what_is_noticed_is_kept_in_words(said: str, verdict: Verdict) -> None:
    result, _ = run_short(short_procedure(*KINDS), typed={"soak:senses": said})
    step = step_of(result, "soak:senses")
    assert step.verdict is verdict
    if verdict is Verdict.REJECTED:
        assert step.note == said


def test_cut_short_it_is_not_done_and_nothing_is_live() -> None:
    result, bench = run_short(short_procedure(*KINDS), skipped=frozenset({"soak"}))
    assert undone(result)["soak:senses"] == "not today"
    assert [one.volts for one in bench.seen if isinstance(one, Excite)][-1] == 0.0


def test_a_meter_without_alternating_current_leaves_warmth_and_smell() -> None:
    quantities = frozenset({Quantity.VOLTAGE_AC, Quantity.RESISTANCE})
    result, bench = run_short(short_procedure(*KINDS, quantities=quantities))
    assert "does not read alternating current" in undone(result)["soak:current"]
    assert [one.volts for one in bench.seen if isinstance(one, Excite) and one.volts] == [230.0]
    assert step_of(result, "soak:temperature").verdict is Verdict.ACCEPTED


def test_without_a_thermometer_the_current_is_still_told() -> None:
    result, _ = run_short(short_procedure(*KINDS), skipped=frozenset({"soak:temperature"}))
    assert undone(result)["soak:temperature"] == "not today"
    assert step_of(result, "soak:current").verdict is Verdict.ACCEPTED


def test_a_current_over_range_condemns_nothing() -> None:
    result, _ = run_short(
        short_procedure(*KINDS), change=lambda take, connect, value: None if take.quantity.unit == "A" else value
    )
    assert step_of(result, "soak:current").verdict is Verdict.TROUBLE


def test_a_step_of_the_equipment_is_refused_before_varnish() -> None:
    with pytest.raises(ValueError, match="expected it at 'in the equipment'"):
        short_procedure("conditions", "earth_bond", stage=Stage.BEFORE_VARNISH)

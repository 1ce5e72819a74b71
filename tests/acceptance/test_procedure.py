"""The whole procedure on an ideal bench: verdicts, order, and what ends it."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.procedure import Finished
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, StepDone, Stopped, Take, Trouble
from bench.acceptance.result import StepResult
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal


def test_a_good_unit_is_accepted_with_nothing_found() -> None:
    result, _ = run_ideal()
    assert result.verdict is Verdict.ACCEPTED
    assert result.findings == ()
    assert result.not_done == ()


def test_every_planned_step_has_a_result() -> None:
    procedure = new_procedure()
    planned = {step.id for step in procedure.plan()}
    result = IdealBench(procedure.context.expectation).run(procedure)
    assert {step.id for step in result.steps} == planned


def test_insulation_not_entered_is_incomplete_and_never_accepted() -> None:
    result, _ = run_ideal(skipped=frozenset({"insulation:ht"}))
    assert result.verdict is Verdict.INCOMPLETE
    assert (result.not_done[0].id, result.not_done[0].reason) == ("insulation:ht", "not today")


def test_insulation_not_entered_bars_mains_until_a_reason_is_recorded() -> None:
    result, bench = run_ideal(skipped=frozenset({"insulation:ht"}))
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]
    assert "insulation of ht was not measured" in next(o.reason for o in result.not_done if o.id == "first_power")
    procedure = new_procedure()
    procedure._reason = "no tester in the house; behind the residual current device and the lamp"
    result = IdealBench(procedure.context.expectation, skipped=frozenset({"insulation:ht"})).run(procedure)
    assert [one.id for one in result.not_done] == ["insulation:ht"]
    assert result.verdict is Verdict.INCOMPLETE


def test_resistances_without_a_design_are_recorded_and_the_unit_is_not_accepted() -> None:
    job = coastal_receiver()
    windings = tuple(w.model_copy(update={"wire": None}) if w.name == "heater" else w for w in job.winding)
    result, _ = run_ideal(job.model_copy(update={"winding": windings}))
    assert result.verdict is Verdict.INCOMPLETE
    assert [one.id for one in result.not_done if one.required] == ["resistance:heater:value"]
    assert "does not say the ohms" in next(one.reason for one in result.not_done if one.id == "loaded:heater")


def test_volts_that_are_skipped_leave_the_turns_they_would_tell_not_done_too() -> None:
    result, _ = run_ideal(skipped=frozenset({"open_circuit:heater"}))
    assert [one.id for one in result.not_done] == ["open_circuit:heater", "turns:heater", "regulation:heater"]


def test_every_insulation_step_comes_before_any_mains() -> None:
    _, bench = run_ideal()
    first_mains = next(i for i, r in enumerate(bench.seen) if isinstance(r, Excite) and r.source == "variac")
    last_insulation = max(
        i for i, r in enumerate(bench.seen) if isinstance(r, Enter) and r.step.startswith("insulation")
    )
    assert last_insulation < first_mains


def test_steps_come_in_the_order_of_least_risk() -> None:
    result, _ = run_ideal()
    kinds = list(dict.fromkeys(step.id.partition(":")[0] for step in result.steps))
    assert kinds == [
        "stack_height", "look", "resistance", "insulation", "frequency", "ratio", "polarity", "screen_foil", "screen",
        "low_watts", "low_amps", "earthed", "first_power", "exciting", "core_watts", "open_circuit", "turns", "hipot",
        "soak", "loaded", "regulation", "loaded_all",
    ]  # fmt: skip


def test_low_insulation_bars_every_step_with_mains() -> None:
    result, bench = run_ideal(typed={"insulation:ht": "0.5 Mohm"})
    assert result.verdict is Verdict.REJECTED
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]
    assert "insulation of ht is 0.5 Mohm" in next(o.reason for o in result.not_done if o.id == "first_power")


def test_insulation_between_the_limits_is_no_hazard_but_no_pass() -> None:
    result, bench = run_ideal(typed={"insulation:ht": "50 Mohm"})
    assert result.verdict is Verdict.REJECTED
    assert [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]


def test_a_tester_at_the_top_of_its_range_is_typed_as_more_than() -> None:
    result, _ = run_ideal(typed={"insulation:primary": ">2000"})
    assert result.verdict is Verdict.ACCEPTED


def test_a_tester_whose_range_ends_below_the_limit_condemns_nothing() -> None:
    result, _ = run_ideal(typed={"insulation:primary": ">50 Mohm"})
    assert result.verdict is Verdict.UNDECIDED
    assert "more than 50" in next(s.note for s in result.steps if s.id == "insulation:primary")


def test_no_voltmeter_is_asked_for_on_a_winding_with_more_volts_than_it_bears() -> None:
    job = coastal_receiver()
    windings = tuple(
        w.model_copy(update={"turns": 6000, "taps": (), "layers": ()}) if w.name == "ht" else w for w in job.winding
    )
    result, bench = run_ideal(job.model_copy(update={"winding": windings}))
    assert not [r for r in bench.seen if isinstance(r, Connect) and r.step == "open_circuit:ht"]
    assert [one.id for one in result.not_done if one.required] == ["open_circuit:ht", "turns:ht"]
    assert any(s.id == "turns:heater" for s in result.steps)


def test_first_power_cautions_stand_before_the_volts() -> None:
    _, bench = run_ideal()
    first_mains = next(i for i, r in enumerate(bench.seen) if isinstance(r, Excite) and r.source == "variac")
    before = [r for r in bench.seen[:first_mains] if isinstance(r, Confirm)]
    assert any("Mains kills" in line for line in before[-1].cautions)


def test_cautions_are_told_in_full_once_and_in_a_line_afterwards() -> None:
    _, bench = run_ideal()
    full = [line for r in bench.seen for line in getattr(r, "cautions", ()) if line.startswith("A winding kicks")]
    short = [line for r in bench.seen for line in getattr(r, "cautions", ()) if line.startswith("Winding kicks")]
    assert len(full) == 1
    assert len(short) >= 4


def test_an_open_winding_is_rejected_and_bars_mains() -> None:
    def opened(take: Take, connect: Connect, value: float) -> float | None:
        return None if connect.winding == "heater" and "ohm" in take.quantity.unit else value

    result, bench = run_ideal(change=opened)
    assert result.verdict is Verdict.REJECTED
    step = next(s for s in result.steps if s.id == "resistance:heater")
    assert (step.measured, step.state) == (None, "overload")
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]


def test_more_ohms_than_the_range_holds_are_not_called_open() -> None:
    def poor_joint(take: Take, connect: Connect, value: float) -> float | None:
        if connect.winding != "primary" or take.quantity.unit != "ohm" or value == 0:
            return value
        return 3 * value if take.expected is None else None

    result, _ = run_ideal(change=poor_joint)
    step = next(s for s in result.steps if s.id == "resistance:primary")
    assert step.verdict is Verdict.REJECTED
    assert step.measured == pytest.approx(3 * (step.expected or 0.0))
    assert "open" not in step.note
    assert any(s.id == "exciting:100" for s in result.steps)


@pytest.mark.parametrize("typed", ["-234.5 degC", "68", "2000 degC"])
def test_a_temperature_that_no_winding_at_rest_has_is_asked_again(typed: str) -> None:
    result, bench = run_ideal(typed={"temperature": typed})
    asked = [r for r in bench.seen if isinstance(r, Enter) and r.step == "temperature"]
    assert "expected more than -20.0 °C, at most 60.0 °C" in asked[1].text
    assert result.verdict is Verdict.TROUBLE


def test_a_reading_that_changes_when_taken_again_is_laid_to_the_reading() -> None:
    taken = []

    def slipped(take: Take, connect: Connect, value: float) -> float:
        taken.append(take.step)
        first = take.step == "resistance:heater" and taken.count(take.step) == 1
        return value * 10 if first else value

    result, _ = run_ideal(change=slipped)
    assert result.verdict is Verdict.TROUBLE
    assert result.findings[0].fault == "reading_wrong"


def test_a_ratio_that_the_volts_at_nominal_contradict_is_laid_to_the_reading() -> None:
    def slipped(take: Take, connect: Connect, value: float) -> float:
        return value * 0.8 if take.step == "ratio:heater" else value

    result, _ = run_ideal(change=slipped)
    assert result.verdict is Verdict.TROUBLE
    assert next(s for s in result.steps if s.id == "ratio:heater").verdict is Verdict.TROUBLE


def test_volts_over_range_are_taken_again_on_a_range_that_holds_them() -> None:
    def on_the_high_winding(take: Take, connect: Connect, value: float) -> float | None:
        if take.step != "ratio:heater":
            return value
        return None if take.expected is not None and take.expected < 1.0 else 9.0

    result, _ = run_ideal(change=on_the_high_winding)
    assert result.verdict is Verdict.TROUBLE
    assert result.findings[0].fault == "reading_wrong"


def test_a_wrong_frequency_is_trouble_and_bars_mains() -> None:
    def sixty(take: Take, connect: Connect, value: float) -> float:
        return 60.0 if take.quantity.unit == "Hz" else value

    result, bench = run_ideal(change=sixty)
    assert result.verdict is Verdict.TROUBLE
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]


def test_a_stop_ends_with_what_was_not_done_and_nothing_live() -> None:
    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not (isinstance(request, Take) and request.step == "exciting:75"):
        request = procedure.feed(bench.answer(request))
    request = procedure.feed(Stopped("phone"))
    assert isinstance(request, Excite)
    assert request.volts == 0.0
    finished = procedure.feed(None)
    assert isinstance(finished, Finished)
    assert finished.result.verdict is Verdict.INCOMPLETE
    assert {"core_watts", "open_circuit:ht"} <= {one.id for one in finished.result.not_done}


def test_trouble_of_the_meter_never_condemns_the_unit() -> None:
    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not (isinstance(request, Take) and request.step == "ratio:heater"):
        request = procedure.feed(bench.answer(request))
    request = procedure.feed(Trouble("scpi@/dev/ttyUSB0: unplugged"))
    while not isinstance(request, Finished):
        request = procedure.feed(bench.answer(request))
    assert request.result.verdict is Verdict.TROUBLE
    assert any("unplugged" in step.note for step in request.result.steps)


def test_cautions_that_are_not_confirmed_end_the_test() -> None:
    result, bench = run_ideal(skipped=frozenset({"start"}))
    assert result.verdict is Verdict.INCOMPLETE
    assert result.steps == ()
    assert len(bench.seen) == 1


def test_without_a_series_resistor_a_shorted_turn_is_not_excluded() -> None:
    result, _ = run_ideal(equipment={"series_ohms": None})
    assert result.verdict is Verdict.INCOMPLETE
    assert "shorted turn not excluded" in next(o.reason for o in result.not_done if o.id == "core_watts")


def test_a_gate_is_passed_only_with_a_reason() -> None:
    procedure = new_procedure()
    procedure._reason = "the museum's curator wants the curve all the same"
    bench = IdealBench(procedure.context.expectation, typed={"insulation:ht": "5 Mohm"})
    result = bench.run(procedure)
    assert result.verdict is Verdict.REJECTED
    assert any(step.id == "exciting:100" for step in result.steps)


def test_rubbish_for_a_typed_value_is_asked_again_and_then_given_up() -> None:
    result, bench = run_ideal(typed={"insulation:ht": "banana"})
    asked = [r for r in bench.seen if isinstance(r, Enter) and r.step == "insulation:ht"]
    assert len(asked) == 5
    assert "banana" in asked[1].text
    assert result.verdict is Verdict.TROUBLE


def test_results_are_announced_before_the_next_request() -> None:
    _, bench = run_ideal()
    announced = [r.result for r in bench.seen if isinstance(r, StepDone)]
    assert len(announced) == 61
    assert all(isinstance(result, StepResult) for result in announced)

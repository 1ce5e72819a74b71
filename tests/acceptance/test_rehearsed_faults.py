"""Faults of the rehearsal's own physics, seen by the steps that are there for them."""

from __future__ import annotations

from bench.acceptance.decision import Verdict
from bench.job.procedure_file import Stage
from tests.acceptance.ideal_bench import coastal_receiver
from tests.acceptance.rehearsed import rehearsed
from tests.acceptance.short import REASON, short_file, step_of, undone


def test_a_shorted_turn_is_smelled_in_the_soak() -> None:
    file = short_file("conditions", "soak")
    result, _ = rehearsed(coastal_receiver(), file, "turns_shorted=0.01", reason=REASON)
    step = step_of(result, "soak:senses")
    assert step.verdict is Verdict.REJECTED
    assert "smells" in step.note
    assert result.verdict is Verdict.REJECTED


def test_a_good_unit_soaks_without_a_change() -> None:
    result, bench = rehearsed(coastal_receiver(), short_file("conditions", "soak"), reason=REASON)
    assert {one.verdict for one in result.steps if one.id.startswith("soak")} == {Verdict.ACCEPTED}
    assert not bench.bench.energised


def test_low_insulation_flashes_over_and_bars_the_load() -> None:
    file = short_file("conditions", "insulation", "hipot", "load")
    result, bench = rehearsed(coastal_receiver(), file, "insulation_low:primary,ht")
    assert step_of(result, "hipot:primary").note.startswith("flashed over at 1365 V")
    assert "flashed over" in undone(result)["loaded:heater"]
    assert not bench.bench.energised


def test_turns_that_are_missing_show_on_load_too() -> None:
    file = short_file("conditions", "open_circuit", "load")
    good, _ = rehearsed(coastal_receiver(), file, reason=REASON)
    few, bench = rehearsed(coastal_receiver(), file, "turns_wrong:heater=-2", reason=REASON)
    assert step_of(good, "loaded_all:heater").verdict is Verdict.ACCEPTED
    assert step_of(few, "loaded_all:heater").verdict is Verdict.REJECTED
    assert bench.bench.wiring.loads == ()


def test_the_load_at_hand_is_told_by_its_mark_and_its_truth_lies_within_the_doubt() -> None:
    file = short_file("conditions", "open_circuit", "load")
    result, bench = rehearsed(coastal_receiver(), file, reason=REASON, loads=())
    assert {one.verdict for one in result.steps} == {Verdict.ACCEPTED}
    assert bench.bench.wiring.loads == ()


def test_the_equipment_is_read_off_its_testers() -> None:
    kinds = ("refit", "earth_bond", "set_insulation", "set_leakage", "stray_field", "leave")
    result, _ = rehearsed(coastal_receiver(), short_file(*kinds, stage=Stage.IN_EQUIPMENT))
    assert result.verdict is Verdict.ACCEPTED
    low, _ = rehearsed(coastal_receiver(), short_file(*kinds, stage=Stage.IN_EQUIPMENT), "insulation_low:primary,core")
    assert step_of(low, "set_insulation").verdict is Verdict.REJECTED
    assert "insulation of the equipment" in undone(low)["set_leakage"]


def test_the_half_that_is_reversed_is_told_from_the_other() -> None:
    file = short_file("conditions", "low_volts", "polarity")
    result, _ = rehearsed(coastal_receiver(), file, "winding_reversed:ht.finish")
    assert step_of(result, "polarity:ht.centre").verdict is Verdict.ACCEPTED
    assert step_of(result, "polarity:ht.finish").verdict is Verdict.REJECTED
    good, _ = rehearsed(coastal_receiver(), file)
    assert "polarity:ht.centre" not in {one.id for one in good.steps}

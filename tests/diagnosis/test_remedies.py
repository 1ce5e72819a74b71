"""The ladder of a remedy: its rungs, and that their numbers are those of the unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import Finding, StepResult
from bench.design.forward import Forward
from bench.diagnosis.faults import FAULTS
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.posterior import together
from bench.diagnosis.remedies import ladder
from bench.diagnosis.remedies.unit import Unit, loaded_volts
from bench.job.expectation import GOOD, Variant
from bench.job.model import Job
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import coastal_receiver

_HANDS = (
    "solder", "strip", "restack", "tap the", "rewind", "remake", "clean", "file the", "exchange its", "part the wires",
    "mark the leads", "laminations of another", "missing laminations", "open the", "micrometer", "ohmmeter",
    "by a rule", "lift the", "unwind", "thread", "dry it", "tugged", "sleeves", "feel for",
)  # fmt: skip
JOB = coastal_receiver()
RULES = rules_named()
FORWARD = Forward(JOB, RULES)
DESIGN = FORWARD.design


def _rungs(
    fault: str, winding: str, variant: Variant, steps: tuple[StepResult, ...] = (), job: Job = JOB
) -> tuple[str, ...]:
    forward = FORWARD if job is JOB else Forward(job, RULES)
    return _apart(ladder(job, Hypothesis(fault, winding, variant=variant), steps, forward))


def _apart(remedy: str) -> tuple[str, ...]:
    return Finding("", "", "", 1.0, (), "", remedy).rungs


def test_an_outermost_winding_is_mended_through_the_window() -> None:
    leave, thread, anew = _rungs("turns_wrong", "heater", Variant(turns_added={"heater": -2}))
    # 230 V x 17 / 662 = 5.906 V, less the 0.14 % that the primary's own ohms take; 2 of 19 are 10.5 %.
    assert leave.startswith("leave it: heater 5.90 V instead of 6.59 V (-10.5 %) at nominal; at rated load heater 5.6")
    assert thread.startswith("unplugged and discharged: thread the missing 2 turns through the window")
    assert anew.endswith("wind heater anew with 19 turns: 6.59 V again")
    _, off, _ = _rungs("turns_wrong", "heater", Variant(turns_added={"heater": 1}))
    assert "take the 1 turn too many off its outer end" in off


def test_an_inner_winding_is_opposed_over_the_coil_or_stripped_to() -> None:
    leave, over, strip = _rungs("turns_wrong", "rectifier", Variant(turns_added={"rectifier": 2}))
    assert "rectifier 5.90 V instead of 5.20 V (+13.3 %)" in leave
    assert "so that they oppose it" in over
    assert "strip heater, which lies over it, wind rectifier anew with 15 turns" in strip


def test_turns_of_the_primary_cost_all_secondaries_and_move_the_flux() -> None:
    leave, others, anew = _rungs("turns_wrong", "primary", Variant(turns_added={"primary": 3}))
    assert leave.startswith("leave it: all secondaries read 0.45 % low: heater 6.562 V instead of 6.592 V (-0.45 %)")
    # 1.1679 T x 662 / 665.
    assert "the flux falls to 1.163 T from 1.168 T" in leave
    assert "ht 1561 turns instead of 1554 (rectifier, heater as wound, less than half a turn)" in others
    assert "strip heater, rectifier, ht and screen, which lie over it, wind primary anew" in anew


@pytest.mark.parametrize("added", [-30, -7, -1, 2, 12, 33])
def test_changed_secondaries_have_their_volts_back_to_half_a_turn(added: int) -> None:
    others = _rungs("turns_wrong", "primary", Variant(turns_added={"primary": added}))[1]
    turns = int(others.partition("ht ")[2].partition(" turns")[0])
    assert turns / (662 + added) == pytest.approx(1554 / 662, rel=0.5 / 1554 * 1.1)


def test_a_primary_that_lies_outermost_has_its_turns_taken_off() -> None:
    windings = (*[one for one in JOB.winding if one.name != "primary"], JOB.get_winding("primary"))
    job = JOB.model_copy(update={"winding": windings, "screen": ()})
    rungs = _rungs("turns_wrong", "primary", Variant(turns_added={"primary": 3}), job=job)
    assert len(rungs) == 3
    assert "take the turns too many off its outer end, 3 turns" in rungs[1]
    assert not any("strip" in rung for rung in rungs)


def test_a_misplaced_tap_costs_the_volts_of_both_halves() -> None:
    moved = Variant(turns_added={"ht.centre": 10, "ht.finish": -10})
    leave, unwind = _rungs("tap_misplaced", "ht.centre", moved)
    # 269.6 V x 787 / 777 and x 767 / 777.
    assert "ht.centre 273.0 V instead of 269.6 V (+1.3 %) and ht.finish 266.1 V instead of 269.6 V (-1.3 %)" in leave
    assert "strip heater and rectifier" in unwind
    assert "10 turns earlier" in unwind


def test_a_gap_costs_current_and_its_heat_in_the_primary() -> None:
    wide = FORWARD(Variant(joint_added=0.05e-3))
    assert wide.curve is not None
    assert DESIGN.curve is not None
    assert DESIGN.fed_span.resistance is not None
    leave, home, restack = _rungs("core_gap", "", Variant(joint_added=0.05e-3))
    amps, drawn = wide.curve.current_at(230.0), DESIGN.curve.current_at(230.0)
    assert f"{amps * 1e3:.1f} mA instead of {drawn * 1e3:.1f} mA" in leave
    assert f"{DESIGN.fed_span.resistance * (amps**2 - drawn**2):.2g} W more lost in primary" in leave
    assert "tap the laminations home" in home
    assert "restack" in restack


def test_a_short_stack_costs_flux_or_volts() -> None:
    leave, lower, restack = _rungs("core_stack_short", "", Variant(stack_factor=0.9))
    assert "1.298 T instead of 1.168 T" in leave  # 1.1679 T / 0.9
    assert "the knee at " in leave
    assert lower.startswith("feed it with 207 V, where the flux is as drawn")
    assert "heater 5.93 V instead of 6.59 V (-10" in lower
    assert "missing laminations" in restack


def test_a_closed_turn_is_never_left_and_told_by_its_watts() -> None:
    first, *rest = _rungs("turns_shorted", "ht", Variant(loop_conductance=1 / 0.045))
    # (230 V / 662)^2 / 0.045 ohm = 2.68 W, 0.3474 V / 0.045 ohm = 7.72 A.
    assert first == (
        "don't feed it: the closed turn takes 2.7 W and 7.7 A round one turn at nominal, in one place, and burns its "
        "neighbours"
    )
    assert all(rung.startswith("unplugged and discharged: ") for rung in rest)
    assert "strip layer by layer from outside, heater, rectifier, ht and primary" in rest[-1]


def test_thinner_wire_costs_watts_and_volts_or_current() -> None:
    leave, less, _ = _rungs("wire_wrong", "ht", Variant(resistance_factor={"ht": 1.26}))
    # 213.2 ohm x 60 mA squared, and 26 % more; 60 mA / sqrt(1.26).
    assert leave.startswith("leave it: 0.967 W instead of 0.767 W (+26 %) lost in ht at 60 mA; at rated load ht 51")
    assert less.startswith("let it carry 53 mA instead of 60 mA")
    (stays,) = _rungs("wire_wrong", "ht", Variant(resistance_factor={"ht": 0.8}))
    assert stays.startswith("leave it where it fits the window")


def test_a_poor_joint_heats_with_what_was_read_over_the_design() -> None:
    drawn = DESIGN.spans["ht.finish"].resistance
    assert drawn is not None
    read = StepResult(
        "resistance:ht.finish", "", "resistance", "ht.finish", drawn + 40.0, "good", "ohm", Verdict.REJECTED,
        expected=drawn,
    )  # fmt: skip
    first, solder, inside = _rungs("joint_poor", "ht.finish", GOOD, (read,))
    assert "40 ohm in one place make 0.14 W of heat there at 60 mA" in first  # 40 ohm x 0.06 A squared
    assert "solder anew" in solder
    assert "strip heater and rectifier" in inside
    # Without a reading there is no price: the plain remedy stands.
    assert _rungs("joint_poor", "ht.finish", GOOD) == (FAULTS["joint_poor"].REMEDY,)


def test_a_dead_wire_in_hand_doubles_the_density_of_the_other() -> None:
    leave, less, *_ = _rungs("strand_open", "heater", Variant(resistance_factor={"heater": 2.0}))
    # 3 A in 0.636 mm2, the section of 0.90 mm, against both.
    assert leave.startswith("leave it: 4.7 A/mm2 instead of 2.4 A/mm2 at 3.0 A, 1.06 W instead of 0.529 W")
    assert less.startswith("let it carry 1.5 A instead of 3.0 A")


def test_two_faults_have_two_ladders() -> None:
    miscount = Hypothesis("turns_wrong", "heater", variant=Variant(turns_added={"heater": 2}))
    both = together(miscount, Hypothesis("core_gap", variant=Variant(joint_added=0.1e-3)))
    assert both is not None
    rungs = _apart(ladder(JOB, both, (), FORWARD))
    assert rungs[0].startswith("leave it: heater 7.2")
    assert rungs[3].startswith("and besides: leave it: an exciting current of ")
    assert len(rungs) == 6


def test_volts_on_load_need_the_ohms_of_all() -> None:
    unknown = {name: replace(span, resistance=None) for name, span in DESIGN.spans.items()}
    assert loaded_volts(JOB, replace(DESIGN, spans=unknown)) == {}
    assert loaded_volts(JOB, FORWARD(Variant(open_winding="primary"))) == {}
    # Halves that cancel give no volts and take no load.
    assert "ht" not in loaded_volts(JOB, FORWARD(Variant(reversed_spans=("ht.centre",))))


def test_what_lies_over_a_winding_is_told_from_outside_inwards() -> None:
    unit = Unit(JOB, GOOD, FORWARD)
    assert unit.lies_over("primary") == ("heater", "rectifier", "ht", "screen")
    assert unit.lies_over("heater") == ()


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_every_hypothesis_has_a_ladder_whose_hands_on_rungs_begin_unplugged(fault: str) -> None:
    read = StepResult(
        "turns:heater", "", "turns_by_ratio", "heater", 17.0, "good", "turns", Verdict.REJECTED, expected=19.0, u=0.01
    )
    case = Case(JOB, DESIGN, (read,))
    for one in FAULTS[fault].hypotheses(case):
        rungs = _apart(ladder(JOB, one, case.steps, FORWARD))
        assert rungs
        assert all(rungs)
        words = " ".join(rungs)
        assert " nan " not in words
        assert " inf " not in words
        for rung in rungs if len(rungs) > 1 else ():
            if any(work in rung for work in ("core out", "solder", "window", "home from", "lift")):
                assert rung.startswith("unplugged and discharged: "), rung


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_words_that_take_hands_to_the_unit_say_unplugged_first(fault: str) -> None:
    for words in (FAULTS[fault].CHECK, FAULTS[fault].REMEDY):
        hands = [words.find(work) for work in _HANDS if work in words]
        assert not hands or 0 <= words.find("unplugged") < min(hands), words

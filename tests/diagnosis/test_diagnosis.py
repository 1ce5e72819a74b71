"""Findings from the readings of an ideal unit with one fault in it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.requests import Connect, Enter, Request, Take
from bench.acceptance.result import TestResult
from bench.design.forward import forward_for
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.faults import FAULTS, explains
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal
from tests.acceptance.short import run_answering


def _tested(variant: Variant, *, screen: bool = False, **typed: str) -> TestResult:
    """A test of a unit that differs from the design by a variant;  screen: whether the loop in it is the screen."""
    unit = forward_for(coastal_receiver(), rules_named())(variant)
    procedure = new_procedure()
    foil = procedure.context.expectation.screen_ohms["screen"]

    def closed(take: Take, connect: Connect, value: float) -> float:
        """The loop that the variant says is the screen's own: a contact in series with the foil."""
        between_ends = connect.to_terminal == "screen.far_lead" and take.quantity.unit == "V"
        return value * (1 - foil * variant.loop_conductance) if between_ends and screen else value

    names = {key.replace("_", ":", 1) if key.startswith("insulation") else key: value for key, value in typed.items()}
    return IdealBench(unit, change=closed, typed=names).run(procedure)


def test_probabilities_add_up_to_one() -> None:
    result, _ = run_ideal()
    job, rules = coastal_receiver(), rules_named()
    weighed = Diagnosis(job, rules, forward_for(job, rules)).posterior(result.steps)
    assert sum(probability for _, probability in weighed) == pytest.approx(1.0)
    assert max(weighed, key=lambda one: one[1])[0].fault == "none"


@pytest.mark.parametrize(
    ("variant", "fault", "winding"),
    [
        (Variant(turns_added={"heater": 2}), "turns_wrong", "heater"),
        (Variant(turns_added={"primary": -7}), "turns_wrong", "primary"),
        (Variant(reversed_spans=("rectifier",)), "winding_reversed", "rectifier"),
        (Variant(reversed_spans=("ht.centre",)), "winding_reversed", "ht.centre"),
        (Variant(swapped=("rectifier", "heater")), "leads_swapped", "rectifier and heater"),
        (Variant(joint_added=0.05e-3), "core_gap", ""),
        # Of the turn that is closed, 0.024 ohm of its own by 0.021 ohm of contact, the primary lacks 0.024 / 0.045.
        (Variant(loop_conductance=1 / 0.045, turns_added={"primary": -0.53}), "turns_shorted", "primary"),
        (Variant(loop_conductance=1 / 0.004), "screen_closed", "screen"),
    ],
)
def test_the_fault_that_was_put_in_comes_first(variant: Variant, fault: str, winding: str) -> None:
    result = _tested(variant, screen=fault == "screen_closed")
    assert result.verdict != "accepted"
    assert result.findings[0].fault == fault
    if fault not in ("turns_shorted",):  # which winding's turn is shorted, these readings can't tell
        assert result.findings[0].winding == winding


def test_a_short_stack_shows_by_the_rule() -> None:
    result = _tested(Variant(stack_factor=0.9), stack_height="40.5 mm")
    assert result.findings[0].fault == "core_stack_short"


def test_insulation_that_flashes_over_is_low_though_the_tester_saw_nothing() -> None:
    procedure = new_procedure()

    def flashes(request: Request) -> str | None:
        return "flashed" if isinstance(request, Enter) and request.quantity is Quantity.LEAKAGE_CURRENT else None

    result = run_answering(procedure, flashes)
    assert result.verdict == "rejected"
    assert result.findings[0].fault == "insulation_low"


def test_low_insulation_is_found() -> None:
    result = _tested(Variant(), insulation_primary="0.5 Mohm", insulation_ht="0.5 Mohm")
    assert result.findings[0].fault == "insulation_low"


def test_the_size_of_a_miscount_is_whole_turns() -> None:
    assert _tested(Variant(turns_added={"heater": 2})).findings[0].size == "+2 turns"


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_winding_of_very_few_turns_is_weighed_without_taking_them_all_away(turns: int) -> None:
    job = coastal_receiver()
    windings = tuple(
        w.model_copy(update={"turns": turns, "layers": ()}) if w.name == "rectifier" else w for w in job.winding
    )
    result, _ = run_ideal(job.model_copy(update={"winding": windings}))
    assert result.findings == ()


def test_nothing_measured_nothing_found() -> None:
    job, rules = coastal_receiver(), rules_named()
    assert Diagnosis(job, rules, forward_for(job, rules))((), ()) == ((), None)


def test_readings_that_no_fault_explains_are_called_unknown() -> None:
    result, _ = run_ideal()
    # All resistances triple, all ratios right, exciting current a tenth: no single fault of the list does that.
    spoilt = tuple(
        replace(s, measured=s.measured * (3.0 if s.id.startswith("resistance") else 0.1))
        if s.measured is not None and s.id.startswith(("resistance", "exciting", "core_watts", "low_watts"))
        else s
        for s in result.steps
    )
    job, rules = coastal_receiver(), rules_named()
    findings, _ = Diagnosis(job, rules, forward_for(job, rules))(spoilt, ())
    assert findings[0].fault == "unknown"


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_every_fault_has_words(fault: str) -> None:
    assert explains(fault, "heater", "2 turns")
    assert FAULTS[fault].CHECK
    assert FAULTS[fault].REMEDY

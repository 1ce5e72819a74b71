"""Faults as people name them."""

from __future__ import annotations

import pytest

from bench.job.model import Job
from bench.rehearsal.faults import FaultName, parse_fault
from bench.rehearsal.problems import RehearsalProblem


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("none", "none"),
        ("turns_wrong", "turns_wrong:rectifier=2"),
        ("turns_wrong:primary", "turns_wrong:primary=7"),
        ("turns_wrong:heater=-3", "turns_wrong:heater=-3"),
        ("turns_wrong:heater=-3 turns", "turns_wrong:heater=-3"),
        ("turns_wrong:ht.finish=1 %", "turns_wrong:ht.finish=8"),
        ("turns_shorted", "turns_shorted:primary=0.02"),
        ("turns_shorted:ht.centre=20 mohm", "turns_shorted:ht.centre=0.02"),
        ("winding_reversed", "winding_reversed:rectifier"),
        ("winding_reversed:ht.centre", "winding_reversed:ht.centre"),
        ("leads_swapped", "leads_swapped:rectifier,heater"),
        ("leads_swapped:primary,ht", "leads_swapped:primary,ht"),
        ("winding_open", "winding_open:ht"),
        ("core_gap", "core_gap=5e-05"),
        ("core_gap=0,1 mm", "core_gap=0.0001"),
        ("core_gap=0.2", "core_gap=0.0002"),
        ("core_stack_short", "core_stack_short=0.1"),
        ("core_stack_short=5 %", "core_stack_short=0.05"),
        ("screen_closed", "screen_closed:screen=0.01"),
        ("screen_unearthed", "screen_unearthed:screen"),
        ("insulation_low", "insulation_low:primary,ht=500000"),
        ("insulation_low:heater,core=2 Mohm", "insulation_low:heater,core=2e+06"),
        ("insulation_low:ht=0.2", "insulation_low:ht,rectifier=200000"),
        ("reading_wrong", "reading_wrong"),
        ("reading_wrong:heater", "reading_wrong:heater"),
        ("supply_wrong", "supply_wrong=60"),
        ("supply_wrong=8%", "supply_wrong=0.08"),
    ],
)
def test_a_fault_has_the_size_and_place_that_are_due(coastal: Job, text: str, meant: str) -> None:
    assert str(parse_fault(text, coastal)) == meant


@pytest.mark.parametrize("name", [name for name in FaultName if not name.startswith(("screen_", "leads_swapped"))])
def test_a_simple_job_takes_the_fault_by_its_bare_name(gate: Job, name: FaultName) -> None:
    assert parse_fault(name, gate).name is name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("turns_worng", "expected one of none, turns_wrong, turns_shorted"),
        ("turns_wrong:heatr", "expected one of primary, ht, rectifier, heater"),
        ("turns_wrong:heater.centre", "it has no taps"),
        ("turns_wrong:ht.middle", "expected ht.centre, ht.finish"),
        ("turns_wrong:heater=0", "expected another number above 0"),
        ("turns_wrong:heater=-19", "expected another number above 0"),
        ("turns_wrong=two", "expected turns such as '-3' or a share such as '1 %'"),
        ("turns_wrong=90 %", "out of reach"),
        ("turns_wrong:ht,heater", "2 windings given, expected one"),
        ("turns_shorted=3 mm", "expected ohms such as '0.02 ohm'"),
        ("turns_shorted=nan", "expected ohms such as '0.02 ohm'"),
        ("turns_shorted=-1", "expected ohms such as '0.02 ohm'"),
        ("turns_shorted=", "nothing after '='"),
        ("winding_reversed=2", "expected no size"),
        ("leads_swapped:ht", "expected two windings"),
        ("leads_swapped:ht,ht", "expected two windings"),
        ("core_gap:ht", "expected no winding"),
        ("core_gap=1 m", "expected a gap such as '0.05 mm'"),
        ("screen_closed:foil", "expected screen"),
        ("insulation_low:ht,frame", "expected two of primary, ht, rectifier, heater, screen, core"),
        ("supply_wrong=8 V", "expected hertz such as '60 Hz' or distortion such as '8 %'"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(coastal: Job, text: str, words: str) -> None:
    with pytest.raises(RehearsalProblem) as refused:
        parse_fault(text, coastal)
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(("text", "words"), [("screen_closed", "no screen"), ("leads_swapped", "single secondary")])
def test_a_fault_that_the_unit_cannot_have_is_refused(gate: Job, text: str, words: str) -> None:
    with pytest.raises(RehearsalProblem, match=words):
        parse_fault(text, gate)

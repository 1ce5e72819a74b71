"""Faults as people name them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

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
        ("joint_poor", "joint_poor:ht=20 %"),
        ("joint_poor:heater", "joint_poor:heater=20 %"),
        ("joint_poor:heater=100%", "joint_poor:heater=100 %"),
        ("joint_poor:heater=50 mohm", "joint_poor:heater=0.05"),
        ("joint_poor:ht.centre=12", "joint_poor:ht.centre=12"),
        ("tap_misplaced", "tap_misplaced:ht.centre=2"),
        ("tap_misplaced:ht", "tap_misplaced:ht.centre=2"),
        ("tap_misplaced:ht.centre=-10 turns", "tap_misplaced:ht.centre=-10"),
        ("strand_open", "strand_open:heater"),
        ("strands_unequal", "strands_unequal:heater=1"),
        ("strands_unequal:heater=-2", "strands_unequal:heater=-2"),
        ("wire_wrong", "wire_wrong:primary=1"),
        ("wire_wrong:heater=-2 steps", "wire_wrong:heater=-2"),
        ("wire_wrong:heater=1 step", "wire_wrong:heater=1"),
        ("core_gap", "core_gap=5e-05"),
        ("core_gap=0,1 mm", "core_gap=0.0001"),
        ("core_gap=0.2", "core_gap=0.0002"),
        ("core_stack_short", "core_stack_short=0.1"),
        ("core_stack_short=5 %", "core_stack_short=0.05"),
        ("core_steel_degraded", "core_steel_degraded=1.5"),
        ("core_steel_degraded=2.5", "core_steel_degraded=2.5"),
        ("laminations_bridged", "laminations_bridged=50 %"),
        ("laminations_bridged=+200 %", "laminations_bridged=200 %"),
        ("laminations_bridged=20", "laminations_bridged=20 %"),
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


_NEEDS_MORE = ("screen_", "leads_swapped", "strand", "tap_")


@pytest.mark.parametrize("name", [name for name in FaultName if not name.startswith(_NEEDS_MORE)])
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
        ("joint_poor:heater=-5 %", "out of reach"),
        ("joint_poor:heater=2 V", "expected ohms such as '0.5 ohm' or a share of the winding's own such as '20 %'"),
        ("joint_poor:frame", "expected one of primary, ht, rectifier, heater"),
        ("tap_misplaced:heater", "'heater' is no tap, expected ht.centre"),
        ("tap_misplaced:ht.finish", "'ht.finish' is no tap, expected ht.centre"),
        ("tap_misplaced=0", "expected another number above 0"),
        ("tap_misplaced=777", "leaves 0 of 777 turns"),
        ("tap_misplaced=-777", "leaves 0 of 777 turns"),
        ("tap_misplaced=1 %", "expected whole turns such as '-3'"),
        ("strand_open:primary", "primary is wound with one strand, expected one of heater"),
        ("strand_open=1", "expected no size"),
        ("strands_unequal:ht", "ht is wound with one strand, expected one of heater"),
        ("strands_unequal=-19", "leaves 0 of 19 turns"),
        ("strands_unequal=0.5", "expected whole turns such as '-3'"),
        ("wire_wrong=0", "is the wire of the job, expected steps of wire size such as '-1'"),
        ("wire_wrong=7", "out of reach"),
        ("wire_wrong=0.1 mm", "expected steps of wire size such as '-1'"),
        ("wire_wrong:ht.centre", "expected the whole winding ht"),
        ("core_steel_degraded=0.5", "out of reach, expected a factor of 1 or more such as '1.5'"),
        ("core_steel_degraded:ht", "expected no winding"),
        ("laminations_bridged=-20 %", "out of reach, expected a share of the good core's loss such as '50 %'"),
        ("laminations_bridged=3 W", "expected a share of the good core's loss such as '50 %'"),
        ("turns_wrong:primary=0 %", "expected another number above 0"),
        ("turns_wrong=" + "9" * 400, "out of reach"),
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


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("screen_closed", "no screen"),
        ("leads_swapped", "single secondary"),
        ("tap_misplaced", "no tapped winding"),
        ("tap_misplaced:primary", "no tapped winding"),
        ("strand_open", "no winding with two strands in hand"),
        ("strands_unequal:primary", "no winding with two strands in hand"),
    ],
)
def test_a_fault_that_the_unit_cannot_have_is_refused(gate: Job, text: str, words: str) -> None:
    with pytest.raises(RehearsalProblem, match=words):
        parse_fault(text, gate)


_WORDS = [
    "primary", "ht", "ht.centre", "heater", "screen", "core", ":", ",", ".", "=", "%", "-", "1", "0.5", "1e400", "nan",
    "ohm", "Mohm", "mm", "Hz", "turns", "steps",
]  # fmt: skip
_PIECES = st.sampled_from([*FaultName, *_WORDS, " ", "9" * 400])
_SENSIBLE = st.lists(_PIECES, max_size=8).map("".join)
_NAMED = st.tuples(st.sampled_from(FaultName), st.text(":,.=", max_size=1), st.text(max_size=12)).map("".join)
_SIZED = st.tuples(st.sampled_from(FaultName), st.just("="), _PIECES, _PIECES, _PIECES).map("".join)


def _parsed_or_refused(text: str, job: Job) -> str:
    try:
        return str(parse_fault(text, job))
    except RehearsalProblem as refused:
        return str(refused)


@given(st.one_of(st.text(max_size=40), _SENSIBLE, _NAMED, _SIZED))
def test_any_text_is_a_fault_or_refused_in_one_line(coastal: Job, gate: Job, text: str) -> None:
    for job in (coastal, gate):
        assert len(_parsed_or_refused(text, job).splitlines()) == 1

"""Plain sentences from readings: which pattern is seen, and that a good unit shows none."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.design.forward import Forward
from bench.diagnosis.in_words import in_words, patterns
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import coastal_receiver

JOB = coastal_receiver()
DESIGN = Forward(JOB, rules_named()).design
SPANS = DESIGN.spans


def _step(id: str, quantity: str, winding: str, measured: float | None, expected: float | None, u: float) -> StepResult:
    return StepResult(
        id=id, label=id, quantity=quantity, winding=winding, measured=measured, state="good", unit="",
        verdict=Verdict.ACCEPTED, expected=expected, u=u,
    )  # fmt: skip


def _turns(name: str, measured: float, share_u: float = 5e-4) -> StepResult:
    drawn = abs(SPANS[name].turns)
    return _step(f"turns:{name}", "turns_by_ratio", name, measured, drawn, share_u * drawn)


def _ohms(name: str, factor: float) -> StepResult:
    drawn = SPANS[name].resistance
    assert drawn is not None
    return _step(f"resistance:{name}", "resistance", name, drawn * factor, drawn, 0.002 * drawn)


def _amps(share: float, factor: float) -> StepResult:
    assert DESIGN.curve is not None
    volts = share * DESIGN.voltage
    drawn = DESIGN.curve.current_at(volts)
    return replace(
        _step(f"exciting:{share * 100:.0f}", "current_ac", "primary", drawn * factor, drawn, 0.002 * drawn),
        at_volts=volts,
    )


def _watts(share: float, more: float) -> StepResult:
    """more [W] over the design."""
    assert DESIGN.curve is not None
    volts = share * DESIGN.voltage
    drawn = DESIGN.curve.watts_at(volts)
    return replace(
        _step(f"core_watts:{share:.1f}", "power", "primary", drawn + more, drawn, 0.005 * drawn), at_volts=volts
    )


def _said(fault: str, winding: str, *steps: StepResult) -> tuple[str, ...]:
    return in_words(JOB, DESIGN, steps, fault, winding)


def test_all_secondaries_low_alike_point_at_the_primary_or_at_the_reference() -> None:
    # 662 / 665 is 0.451 % less than one.
    low = [_turns(name, abs(SPANS[name].turns) * 662 / 665) for name in ("ht", "rectifier", "heater")]
    assert _said("turns_wrong", "primary", *low) == (
        "all secondaries read low by the same 0.45 %: primary has 3 turns too many, or the reference reads high; the "
        "series sum would tell",
    )
    assert _said("turns_wrong", "ht", *low) == ()


def test_less_than_a_turn_of_the_primary_is_the_reference() -> None:
    low = [_turns(name, abs(SPANS[name].turns) * (1 - 7e-4), 1e-4) for name in ("ht", "rectifier", "heater")]
    assert _said("turns_wrong", "primary", *low) == ()
    (sentence,) = _said("reading_wrong", "primary", *low)
    assert sentence.startswith("all secondaries read low by the same 0.07 %, less than a turn of primary")


def test_one_low_among_right_ones_is_short_itself() -> None:
    steps = (_turns("ht", 1554 - 19), _turns("rectifier", 15), _turns("heater", 19))
    assert _said("turns_wrong", "ht", *steps) == (
        "ht reads 1.2 % low while rectifier and heater are right: ht is about 19 turns short",
    )


def test_a_sharp_reading_of_a_short_winding_counts_its_turns() -> None:
    steps = (_turns("ht", 1554), _turns("rectifier", 15), _turns("heater", 21))
    assert _said("turns_wrong", "heater", *steps) == (
        "heater reads 11 % high while ht and rectifier are right: heater has 2 turns too many",
    )
    half = (_turns("ht", 1554), _turns("rectifier", 15), _turns("heater", 19.5))
    assert _said("turns_wrong", "heater", *half)[0].endswith("heater has 0.5 turns too many, which is no whole number")


def test_the_only_winding_read_leaves_it_open_whose_turns_they_are() -> None:
    (own,) = _said("turns_wrong", "heater", _turns("heater", 18))
    assert own == _said("turns_wrong", "primary", _turns("heater", 18))[0]
    assert own.endswith("heater is 1 turn short, or primary has 37 turns too many")  # 662 / 18 * 19 - 662 = 36.8


def test_exchanged_leads_are_told_from_two_miscounts() -> None:
    steps = (_turns("ht", 1554), _turns("rectifier", 19), _turns("heater", 15))
    (sentence,) = _said("leads_swapped", "rectifier and heater", *steps)
    assert sentence.endswith("their leads are exchanged")
    assert _said("turns_wrong", "heater", *steps) == ()


def test_a_tap_moved_shows_in_both_sections_against_each_other() -> None:
    steps = (_turns("ht", 1554), _turns("ht.centre", 787), _turns("ht.finish", 767), _turns("heater", 19))
    assert _said("tap_misplaced", "ht.centre", *steps) == (
        "ht.centre has 10 turns more and ht.finish as many fewer, together they are right: the tap comes out 10 turns "
        "too late",
    )


def test_halves_that_cancel_run_against_each_other() -> None:
    steps = (_turns("ht", 0.0), _turns("ht.centre", 777), _turns("ht.finish", 777), _turns("heater", 19))
    assert _said("winding_reversed", "ht.centre", *steps) == (
        "from end to end ht shows 0 of its 1554 turns while ht.centre and ht.finish are right by themselves: one part "
        "of it runs against the rest",
    )
    assert not [one for one in patterns(JOB, DESIGN, steps) if one.fault == "turns_wrong"]


def test_twice_the_ohms_of_two_wires_in_hand_is_a_wire_that_carries_nothing() -> None:
    steps = (_ohms("heater", 2.0), _ohms("rectifier", 1.0), _turns("heater", 19), _turns("rectifier", 15))
    assert _said("strand_open", "heater", *steps) == (
        "ohms of heater are twice the design's while its turns are right: one of two wires in hand carries nothing",
    )
    assert _said("wire_wrong", "heater", *steps) == ()


def test_both_halves_up_by_a_size_is_the_wire_and_one_half_up_is_a_joint() -> None:
    size = 92 ** (2 / 39)
    both = (_ohms("ht.centre", size), _ohms("ht.finish", size), _turns("ht", 1554))
    assert _said("wire_wrong", "ht", *both) == (
        "ohms of ht are up by 26 % while its turns are right: wire one size thinner than drawn has that",
    )
    one = (_ohms("ht.centre", 1.0), _ohms("ht.finish", size), _ohms("primary", 1.0))
    assert _said("wire_wrong", "ht", *one) == ()
    # 26 % of 108.5 ohm.
    assert _said("joint_poor", "ht.finish", *one) == (
        "ohms of ht.finish are 28 ohm over the design's while ht.centre and primary are right: something stands in "
        "series with it, a joint or a lead",
    )


def test_a_winding_without_current_is_broken() -> None:
    broken = replace(_step("resistance:heater", "resistance", "heater", None, 0.06, 0.0), verdict=Verdict.REJECTED)
    assert _said("winding_open", "heater", broken, _ohms("primary", 1.0)) == (
        "no current passes through heater, primary is whole: its wire is broken, or not joined to its lead",
    )


def test_more_current_and_watts_as_designed_is_air() -> None:
    steps = (_amps(0.5, 1.8), _amps(0.75, 1.9), _amps(1.0, 1.7), _watts(0.6, 0.0))
    assert _said("core_gap", "", *steps) == (
        "the current is up by 80 % at half the volts while the watts are as designed: the flux crosses air",
    )
    assert _said("core_gap", "", *steps[:3], _watts(0.6, 3.0)) == ()


def test_more_current_near_nominal_alone_is_an_early_knee() -> None:
    steps = (_amps(0.5, 1.05), _amps(1.0, 1.3), _amps(1.1, 2.0))
    for fault, winding in (("core_stack_short", ""), ("turns_wrong", "primary")):
        (sentence,) = _said(fault, winding, *steps)
        assert sentence.startswith(
            "only near nominal does the current lie over the design (+100 % at 110 % of nominal, +5 % at half the "
            "volts): the knee comes early"
        )


def test_watts_that_grow_with_the_square_of_the_volts_are_a_loop_s() -> None:
    # 2.5 W at 60 % of nominal are 4.444 W at 80 %.
    steps = (_watts(0.6, 2.5), _watts(0.8, 2.5 * (0.8 / 0.6) ** 2))
    assert _said("turns_shorted", "ht", *steps) == (
        "the watts are 4.4 W over the design at 80 % of nominal, and that grows with the square of the volts: a closed "
        "loop takes them",
    )
    slower = (_watts(0.6, 2.5), _watts(0.8, 2.5 * (0.8 / 0.6)))
    assert "square" not in _said("turns_shorted", "ht", *slower)[0]


def test_two_bodies_low_to_all_the_rest_touch_each_other() -> None:
    def insulation(name: str, ohms: float, verdict: Verdict) -> StepResult:
        return replace(_step(f"insulation:{name}", "insulation_resistance", name, ohms, None, 0.0), verdict=verdict)

    steps = (
        insulation("primary", 2e6, Verdict.REJECTED),
        insulation("ht", 2.1e6, Verdict.REJECTED),
        insulation("heater", 5e8, Verdict.ACCEPTED),
    )
    assert _said("insulation_low", "ht", *steps) == (
        "primary and ht read low (2.0 Mohm), the rest is high: it is between these two",
    )


def test_two_faults_at_once_have_a_sentence_each() -> None:
    steps = (
        _turns("ht", 1554), _turns("rectifier", 15), _turns("heater", 21), _amps(0.5, 2.0), _watts(0.6, 0.0),
    )  # fmt: skip
    said = _said("turns_wrong+core_gap", "heater", *steps)
    assert [one.rpartition(": ")[2] for one in said] == ["heater has 2 turns too many", "the flux crosses air"]


def test_a_reading_laid_to_the_reading_says_nothing_of_the_unit() -> None:
    steps = (_turns("ht", 1554), _turns("heater", 19), replace(_turns("rectifier", 18), verdict=Verdict.TROUBLE))
    assert patterns(JOB, DESIGN, steps) == ()


_DOUBT = st.floats(-1.9, 1.9)


@given(st.lists(_DOUBT, min_size=12, max_size=12))
def test_a_good_unit_read_within_its_doubt_has_no_sentence(off: list[float]) -> None:
    names = ("ht", "rectifier", "heater", "ht.centre", "ht.finish")
    steps = [_turns(name, abs(SPANS[name].turns) * (1 + 5e-4 * z)) for name, z in zip(names, off[:5], strict=True)]
    steps += [
        _ohms(name, 1 + 0.93 * SPANS[name].u_log_resistance * z)
        for name, z in zip(("primary", "heater", "rectifier"), off[5:8], strict=True)
    ]
    steps += [_amps(share, 1 + 0.03 * z) for share, z in zip((0.5, 1.0, 1.1), off[8:11], strict=True)]
    steps.append(_watts(0.6, 0.02 * off[11]))
    assert patterns(JOB, DESIGN, tuple(steps)) == ()


@given(st.floats(0.004, 0.04), st.sampled_from((-1, 1)), st.lists(st.floats(-0.4, 0.4), min_size=3, max_size=3))
def test_the_share_told_is_the_mean_of_the_readings(size: float, way: int, off: list[float]) -> None:
    shares = [way * size + 5e-4 * z for z in off]
    steps = tuple(
        _turns(name, abs(SPANS[name].turns) * (1 + share))
        for name, share in zip(("ht", "rectifier", "heater"), shares, strict=True)
    )
    (sentence,) = _said("turns_wrong", "primary", *steps)
    told = float(sentence.partition("by the same ")[2].partition(" %")[0]) / 100
    mean = math.fsum(abs(share) for share in shares) / 3
    assert told == pytest.approx(mean, abs=5.5e-4 if mean > 0.0095 else 6e-5)

"""The readings that a job's design should give."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.design.expected import NotEnough, expect, needs_for_test
from bench.design.forward import Forward
from bench.design.seats import mean_turns
from bench.job.expectation import Expectation, Variant
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.job.winding import Sense
from bench.whole_test import rules_named

JOB = read_job(example_job("coastal-receiver"))


def _expect(variant: Variant | None = None) -> Expectation:
    return expect(JOB, rules_named(), variant or Variant())


def test_flux_density_of_the_example_is_that_of_the_emf_equation() -> None:
    # 230 V / (4.4429 x 50 Hz x 662 turns x 32 mm x 45 mm x 0.93), by hand.
    assert _expect().flux_density == pytest.approx(1.1679, abs=2e-4)


def test_resistance_is_length_over_conductivity() -> None:
    span = _expect().spans["primary"]
    # 662 turns of 0.4 mm, mean turn from the build, 0.1372 ohm/m (wire table, 0.0172414 ohm mm2/m).
    assert span.resistance == pytest.approx(662 * mean_turns(JOB)["primary"] * 0.1372, rel=0.001)


def test_mean_turns_grow_outwards_and_stay_between_leg_and_window() -> None:
    turns = mean_turns(JOB)
    assert list(turns.values()) == sorted(turns.values())
    assert turns["primary"] > 2 * (0.032 + 0.045)
    assert turns["heater"] < 2 * (0.032 + 0.045) + 2 * 3.1416 * 0.016


def test_margins_that_leave_no_room_give_no_mean_turn_rather_than_an_absurd_one() -> None:
    crowded = JOB.model_copy(update={"insulation": JOB.insulation.model_copy(update={"margin": 0.024})})
    assert mean_turns(crowded) == {}
    assert expect(crowded, rules_named()).spans["primary"].resistance is None


def test_two_wires_in_hand_halve_the_resistance() -> None:
    single = JOB.model_copy(update={"winding": tuple(w.model_copy(update={"strands": 1}) for w in JOB.winding)})
    layers_kept = expect(single, rules_named()).spans["heater"].resistance
    assert layers_kept == pytest.approx(2 * (_expect().spans["heater"].resistance or 0.0), rel=0.01)


def test_sections_of_a_tapped_winding_add_up() -> None:
    spans = _expect().spans
    assert spans["ht.centre"].turns + spans["ht.finish"].turns == spans["ht"].turns == 1554


def test_the_outer_half_of_a_winding_has_more_ohms_than_the_inner() -> None:
    # Halves of a high-voltage winding differ by some percent, since the outer turns are longer (common practice).
    spans = _expect().spans
    inner, outer = spans["ht.centre"].resistance, spans["ht.finish"].resistance
    assert inner is not None
    assert outer is not None
    assert 1.02 < outer / inner < 1.10
    assert inner + outer == pytest.approx(spans["ht"].resistance)


def test_a_reversed_half_takes_the_other_away() -> None:
    assert _expect(Variant(reversed_spans=("ht.centre",))).spans["ht"].turns == 0


def test_a_counter_clockwise_winding_has_the_other_sign() -> None:
    turned = tuple(
        w.model_copy(update={"sense": Sense.COUNTER_CLOCKWISE}) if w.name == "heater" else w for w in JOB.winding
    )
    found = expect(JOB.model_copy(update={"winding": turned}), rules_named())
    assert (found.spans["heater"].turns, found.spans["rectifier"].turns) == (-19, 15)


def test_a_gap_raises_the_current_and_not_the_watts() -> None:
    good, gapped = _expect().curve, _expect(Variant(joint_added=0.05e-3)).curve
    assert good is not None
    assert gapped is not None
    assert gapped.current_at(230.0) > 1.5 * good.current_at(230.0)
    assert gapped.watts_at(230.0) == pytest.approx(good.watts_at(230.0))


def test_a_loop_takes_volts_squared_over_ohms() -> None:
    good, looped = _expect().curve, _expect(Variant(loop_conductance=1 / 0.05)).curve
    assert good is not None
    assert looped is not None
    assert looped.watts_at(138.0) - good.watts_at(138.0) == pytest.approx((138.0 / 662) ** 2 / 0.05, rel=0.01)


def test_the_forward_model_is_the_same_by_both_ways() -> None:
    variant = Variant(turns_added={"primary": 7}, joint_added=0.02e-3, loop_conductance=5.0)
    quick, whole = Forward(JOB, rules_named())(variant), _expect(variant)
    assert quick.curve is not None
    assert whole.curve is not None
    assert quick.curve.current_at(200.0) == pytest.approx(whole.curve.current_at(200.0))
    assert quick.spans == whole.spans


def test_a_half_empty_job_says_what_it_needs(tmp_path: Path) -> None:
    path = tmp_path / "empty.toml"
    path.write_text('schema = 1\n[identity]\nnumber = "X-1"\n[[winding]]\nname = "p"\nrole = "primary"\n')
    job = read_job(path)
    assert needs_for_test(job) == [
        "supply.voltage and supply.frequency", "a winding with role = 'secondary'", "winding.p.turns",
    ]  # fmt: skip
    with pytest.raises(NotEnough, match=r"winding\.p\.turns"):
        expect(job, rules_named())


def test_a_supply_that_the_steel_is_not_known_at_leaves_ratios_and_says_so() -> None:
    assert JOB.supply is not None
    aircraft = JOB.model_copy(update={"supply": JOB.supply.model_copy(update={"frequency": 400.0})})
    found = expect(aircraft, rules_named())
    assert found.curve is None
    assert found.ratio("heater") == pytest.approx(19 / 662)
    assert any("400 Hz" in line for line in found.missing)


def test_a_job_without_a_core_still_has_ratios(tmp_path: Path) -> None:
    path = tmp_path / "coreless.toml"
    path.write_text(
        'schema = 1\n[identity]\nnumber = "X-2"\n[supply]\nvoltage = "230 V"\nfrequency = "50 Hz"\n'
        '[[winding]]\nname = "p"\nrole = "primary"\nturns = 1000\n'
        '[[winding]]\nname = "s"\nrole = "secondary"\nturns = 100\n'
    )
    found = expect(read_job(path), rules_named())
    assert found.ratio("s") == pytest.approx(0.1)
    assert found.curve is None
    assert any("core.steel" in line for line in found.missing)

"""Ohms say turns: against a wire table, layer by layer, through leads, and back from the record."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime

import pytest

from bench.design.plan import plan_of
from bench.estimate import Estimate
from bench.job.model import Job
from bench.job.wire import parse_wire
from bench.winding.check_values import Conclusion, Counted, Says, conclude
from bench.winding.resistance_check import Leads, OhmsRead, check_resistance, from_body, in_parallel, ohms_read
from bench.winding.strands_check import check_strands
from bench.winding.wound_length import wound_length
from drivers.accuracy import Accuracy
from drivers.hand import typed_overload, typed_reading
from drivers.reading import Quantity
from tests.winding.ohms_by_hand import (
    ASSEMBLY,
    OPENER,
    RECEIVER,
    ROOM,
    WINDINGS,
    as_read,
    checked,
    ohms_by_hand,
    per_metre_of,
    planned_of,
    turns_of,
)

# Against tables.


def test_a_wire_table_gives_the_turns_back() -> None:
    # 26 AWG, annealed copper, 20 degC: 40.81 ohm/1000 ft (wire table at pastebin.com/UuPEWau2).  The table is for
    # 58.0 MS/m and wire that was not pulled; 58.5 and 0.5 % are taken here, so its winding has 58.5/58/1.005 the wire.
    planned = planned_of(OPENER, "supply24")
    ohms = ohms_by_hand(planned, 40.81 / 304.8)
    answer = checked(planned, ohms)
    longer = 58.5 / 58.0 / 1.005 - 1
    outermost = planned.layers[-1].mean_turn
    more = longer * planned.wire_length / outermost
    assert answer.says.turns == pytest.approx(190 + more, abs=190 * 0.0005)
    assert answer.conclusion is Conclusion.AGREES


@pytest.mark.parametrize(
    ("wire", "least", "nominal", "most"),
    [("0.2 mm", 0.5237, 0.5441, 0.5657), ("0.315 mm", 0.2121, 0.2193, 0.2270), ("0.5 mm", 0.08462, 0.08706, 0.08959)],
)
def test_wire_within_its_limits_is_no_disagreement(wire: str, least: float, nominal: float, most: float) -> None:
    # Least, nominal and most ohms per metre at 20 degC: annex of IEC 60317-0-1, formula and rows from memory.
    winding = OPENER.winding[1].model_copy(update={"wire": parse_wire(wire), "layers": ()})
    planned = plan_of(OPENER.model_copy(update={"winding": (OPENER.winding[0], winding)})).winding("supply24")
    for per_metre in (least, nominal, most):
        assert checked(planned, ohms_by_hand(planned, per_metre)).conclusion is Conclusion.AGREES
    assert checked(planned, ohms_by_hand(planned, nominal)).says.turns == pytest.approx(190, rel=0.006)


def test_warm_copper_says_the_same_turns() -> None:
    # R75 / R20 = 309.5 / 254.5 = 1.21611: copper, from memory of IEC 60076-1.
    planned = planned_of(RECEIVER, "ht")
    cold = checked(planned, 213.0)
    warm = check_resistance(planned, as_read(213.0 * 1.21611, temperature=348.15), Counted.exactly(1554), ASSEMBLY)
    assert warm.says.turns == pytest.approx(cold.says.turns, rel=1e-5)
    assert warm.cold == pytest.approx(213.0, rel=1e-5)


# Turns and ohms are not in proportion.


@WINDINGS
def test_turns_come_back_through_the_layers(job: Job, name: str) -> None:
    planned = planned_of(job, name)
    wound = wound_length(planned)
    for turns in (0.5, turns_of(planned) / 2, float(turns_of(planned)), 1.3 * turns_of(planned)):
        assert wound.turns(wound.length(turns)) == pytest.approx(turns, rel=1e-9)
    assert wound.length(turns_of(planned)) == pytest.approx(planned.wire_length, rel=1e-12)


def test_half_of_the_ohms_is_more_than_half_of_the_turns() -> None:
    planned = planned_of(OPENER, "primary")
    ohms = ohms_by_hand(planned, per_metre_of(planned))
    # Half the wire, laid from inside, by hand: layers of 140 turns and each its own mean turn.
    left, turns = planned.wire_length / 2, 0.0
    for layer in planned.layers:
        took = min(left / layer.mean_turn, layer.turns)
        turns, left = turns + took, left - took * layer.mean_turn
    assert checked(planned, ohms / 2).says.turns == pytest.approx(turns, rel=1e-9)
    assert turns > 1.02 * 1620 / 2


def test_layers_as_wound_take_the_place_of_the_plan() -> None:
    planned = planned_of(RECEIVER, "primary")
    # 662 turns in more, shorter layers: the further layers lie further out, and take more wire.
    layers = [70.0] * 9 + [32.0]
    as_planned = check_resistance(planned, as_read(15.9), Counted.exactly(662), ASSEMBLY)
    wider = check_resistance(planned, as_read(15.9), Counted.exactly(662), ASSEMBLY, layers=layers)
    step = planned.layers[1].mean_turn - planned.layers[0].mean_turn
    by_hand = sum(n * (planned.layers[0].mean_turn + k * step) for k, n in enumerate(layers))
    assert wider.due / as_planned.due == pytest.approx(by_hand / planned.wire_length, rel=1e-9)
    assert wider.layers_sum == 662


def test_a_mean_turn_that_the_job_gives_is_taken() -> None:
    longer = tuple(
        one.model_copy(update={"mean_turn": 0.2}) if one.name == "primary" else one for one in RECEIVER.winding
    )
    planned = plan_of(RECEIVER.model_copy(update={"winding": longer})).winding("primary")
    answer = checked(planned, 662 * 0.2 * per_metre_of(planned))
    assert answer.says.turns == pytest.approx(662, rel=1e-9)


# What can't be told.


def test_a_heater_through_the_leads_of_a_hand_held_meter_tells_nothing() -> None:
    planned = planned_of(RECEIVER, "heater")
    read = OhmsRead(Estimate(0.4, {"meter": 0.06}), Leads.STILL_IN, ROOM)
    answer = check_resistance(planned, read, Counted.exactly(19), ASSEMBLY)
    assert answer.conclusion is Conclusion.CANT_TELL
    assert answer.says.low == 0
    assert answer.says.high > 38
    assert answer.reference is None


def test_a_short_is_a_disagreement_though_nothing_is_left_of_its_ohms() -> None:
    answer = check_resistance(planned_of(RECEIVER, "ht"), as_read(0.0, u=0.1), Counted.exactly(1554), ASSEMBLY)
    assert answer.conclusion is Conclusion.DISAGREES
    assert answer.says.high < 2


def test_wider_than_a_layer_is_no_agreement() -> None:
    # Half widths of 90 and 110 turns about 1000, layers of 100.
    assert conclude(Says(1000, 910, 1090), Counted.exactly(1000), 100, one_layer=False) is Conclusion.AGREES
    assert conclude(Says(1000, 890, 1110), Counted.exactly(1000), 100, one_layer=False) is Conclusion.CANT_TELL
    assert conclude(Says(1000, 890, 1110), Counted.exactly(1200), 100, one_layer=False) is Conclusion.DISAGREES
    assert conclude(Says(20, 17.5, 22.5), Counted.exactly(20), 20, one_layer=True) is Conclusion.CANT_TELL
    assert conclude(Says(20, 18.5, 21.5), Counted.exactly(20), 20, one_layer=True) is Conclusion.AGREES


def test_a_count_with_an_interval_and_a_broken_one() -> None:
    planned = planned_of(RECEIVER, "ht")
    within = check_resistance(planned, as_read(213.0), Counted(1700, 1600, 1710), ASSEMBLY)
    assert within.conclusion is Conclusion.AGREES
    broken = check_resistance(planned, as_read(213.0), Counted(1700, -math.inf, math.inf), ASSEMBLY)
    assert broken.conclusion is Conclusion.CANT_TELL
    assert broken.reference is None
    assert json.loads(json.dumps(broken.as_body(), allow_nan=False))["count"]["low"] is None


# Readings, leads, strands.


def _typed(ohms: float, second: int) -> object:
    return typed_reading(
        ohms,
        0.001,
        Quantity.RESISTANCE,
        Accuracy(0.5, counts=30),
        at=datetime(2024, 5, 1, 9, 0, second, tzinfo=UTC),
        monotonic=float(second),
    )


def test_leads_on_the_same_range_take_the_offset_with_them() -> None:
    winding, leads = _typed(0.459, 1), _typed(0.400, 2)
    read = ohms_read(winding, Leads.STILL_IN, ROOM, lead_reading=leads)  # type: ignore[arg-type]
    assert read.net.value == pytest.approx(0.059)
    # 0.5 % / sqrt 3 of the difference and two roundings of 0.0005 / sqrt 3; 30 counts of offset would be 0.017.
    by_hand = math.hypot(0.005 / math.sqrt(3) * 0.059, math.sqrt(2) * 0.0005 / math.sqrt(3))
    assert read.net.u == pytest.approx(by_hand, rel=1e-6)


def test_an_open_winding_is_told_in_one_line() -> None:
    over = typed_overload(Quantity.RESISTANCE, at=datetime(2024, 5, 1, tzinfo=UTC), monotonic=0.0)
    with pytest.raises(
        ValueError, match=r"ohms of the winding: overload, open or the range too low; expected a number"
    ):
        ohms_read(over, Leads.TAKEN_OFF, ROOM)
    with pytest.raises(ValueError, match=r"heater: 1e\+06 ohm where .* are due: open, or not this winding"):
        checked(planned_of(RECEIVER, "heater"), 1e6)


@pytest.mark.parametrize("ohms", [-1.0, math.nan, math.inf])
def test_ohms_that_are_none_are_refused(ohms: float) -> None:
    with pytest.raises(ValueError, match=r"ohms of the winding: .*, expected a number of 0 or more"):
        as_read(ohms)


def test_strands_in_parallel() -> None:
    # 0.1 and 0.15 ohm side by side are 0.06; a gain that both share stays as it is.
    both = in_parallel([Estimate(0.1, {"gain": 0.001}), Estimate(0.15, {"gain": 0.0015})])
    assert both.value == pytest.approx(0.06)
    assert both.relative == pytest.approx(0.01)


def test_strands_against_each_other() -> None:
    planned = planned_of(RECEIVER, "heater")
    counted = Counted.exactly(19)

    def strands(*ohms: float) -> list[Estimate]:
        return [Estimate(one, {"gain": 0.01 * one, f"own {k}": 0.0002}) for k, one in enumerate(ohms)]

    # 1 % tolerance of each diameter is 2 % of its ohms: 3 % between two reels are nothing, between two ends of one are.
    two_reels = check_strands(planned, strands(0.1170, 0.1205), counted)
    assert (two_reels.conclusion, two_reels.least, two_reels.most) == (Conclusion.AGREES, 1, 2)
    one_reel = check_strands(planned, strands(0.1205, 0.1170), counted, batches=["R7", "R7"])
    assert (one_reel.conclusion, one_reel.least, one_reel.most) == (Conclusion.DISAGREES, 2, 1)
    assert one_reel.turns == pytest.approx(19 * (0.1205 / 0.1170 - 1))
    coarse = [Estimate(0.1, {"a": 0.02}), Estimate(0.1, {"b": 0.02})]
    assert check_strands(planned, coarse, counted).conclusion is Conclusion.CANT_TELL
    with pytest.raises(ValueError, match="ohms of 1 strands of heater, expected one for each of its 2"):
        check_strands(planned, strands(0.117), counted)


# The record.


def test_what_later_checks_need_comes_back_from_the_record() -> None:
    answer = check_resistance(
        planned_of(RECEIVER, "primary"),
        as_read(15.9, u=0.02, u_temperature=1.0),
        Counted(662, 661, 663),
        ASSEMBLY,
        batch="R7",
    )
    body = json.loads(json.dumps(answer.as_body(), allow_nan=False))
    assert from_body(body) == answer.reference
    assert answer.reference is not None
    assert answer.reference.u_count == pytest.approx(1 / math.sqrt(3) / 662)


def test_a_check_that_disagreed_is_no_reference_and_rubbish_is_refused() -> None:
    assert from_body(checked(planned_of(RECEIVER, "ht"), 150.0).as_body()) is None
    assert from_body({"check": "volts"}) is None
    with pytest.raises(ValueError, match="'check' is missing"):
        from_body({})
    with pytest.raises(ValueError, match="without 'wire'"):
        from_body({"check": "ohms", "for_later": {"winding": "ht"}})
    with pytest.raises(ValueError, match="can't be read"):
        from_body({"check": "ohms", "for_later": {**_reference_body(), "parts": [1]}})


def _reference_body() -> dict[str, object]:
    reference = checked(planned_of(RECEIVER, "ht"), 213.0).reference
    assert reference is not None
    return reference.as_body()

"""A reading is taken by itself when it stands still where it should; leads that look wrong are told, for a while."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.acceptance.due import ohms_due, volts_due
from bench.acceptance.lead_check import Seems, where_the_leads_seem
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Connect, Due, Take
from bench.acceptance.watching import MACHINE, PERSON, Patience, watch
from drivers.accuracy import Accuracy
from drivers.meter_profile import MeterRange
from drivers.reading import Quantity, Reading, State
from tests.acceptance.ideal_bench import new_procedure

HERE = MeterRange(750.0, 0.001, 0.015, Accuracy(0.06, 0.04))
V, R = Quantity.VOLTAGE_AC, Quantity.RESISTANCE
DUE = Due(250.0, 225.0, 275.0, (("heater", 6.3), ("rectifier", 5.0)))
STEP_S = 0.3


class Shown:
    """A meter that shows given values, one each 0.3 s, the last one for ever; and what the person is told."""

    def __init__(self, values: Iterable[float | None], quantity: Quantity = V) -> None:
        self._values, self._quantity = iter(values), quantity
        self._last: float | None = 0.0
        self.now = 0.0
        self.told: list[str] = []

    def glance(self) -> Reading:
        self.now += STEP_S
        value = self._last = next(self._values, self._last)
        state = State.GOOD if value is not None else State.OVERLOAD
        return Reading(self._quantity, value, state, "m", datetime(2026, 1, 1, tzinfo=UTC), self.now)

    def watched(self, patience: Patience, live: float = 250.0, due: Due | None = DUE, expected: float = 262.0) -> float:
        take = Take("open_circuit:ht", self._quantity, expected, 2, due)
        return watch(
            self.glance, take, HERE, live, patience, lambda value, words: self.told.append(words), lambda: self.now
        )


def test_what_stands_still_where_it_should_is_taken_without_a_word_about_the_leads() -> None:
    shown = Shown([250.0] * 3)
    shown.watched(MACHINE)
    assert shown.told == ["settling", "settling", "settled"]
    assert shown.now == pytest.approx(3 * STEP_S)


def test_the_heater_in_the_place_of_the_high_voltage_winding_is_named() -> None:
    look = where_the_leads_seem(V, State.GOOD, 6.3, DUE)
    assert look.seems is Seems.ELSEWHERE
    assert look.words == "looks like heater: 6.30 V where 250 V are due"


@pytest.mark.parametrize(
    ("quantity", "value", "seems"),
    [(V, 0.003, Seems.NOTHING), (V, 40.0, Seems.FAR), (R, None, Seems.OPEN), (R, 0.1, Seems.SHORT)],
)
def test_leads_in_the_air_on_one_wire_and_far_off_are_told_apart(
    quantity: Quantity, value: float | None, seems: Seems
) -> None:
    state = State.GOOD if value is not None else State.OVERLOAD
    assert where_the_leads_seem(quantity, state, value, DUE).seems is seems


def test_what_is_due_comes_from_the_design() -> None:
    context = new_procedure().context
    expectation = context.expectation
    ht, heater = expectation.spans["ht"], expectation.spans["heater"]
    feed = context.feed("open_circuit", 230.0, "variac")
    volts = 230.0 * abs(expectation.ratio("ht"))
    due = volts_due(expectation, Connect("s", V, ht.from_terminal, ht.to_terminal), volts, feed)
    shown = 230.0 * abs(expectation.ratio("heater"))
    assert where_the_leads_seem(V, State.GOOD, shown, due).words.startswith("looks like heater")
    assert where_the_leads_seem(V, State.GOOD, volts * 1.02, due).right
    ohms = ohms_due(expectation, ht)
    assert ohms is not None
    assert heater.resistance is not None
    assert not where_the_leads_seem(R, State.GOOD, heater.resistance, ohms).right


def test_a_machine_that_said_done_is_not_waited_for() -> None:
    shown = Shown([0.003])
    shown.watched(MACHINE)
    assert shown.told[-1].startswith("taken as it is: nothing there")
    assert shown.now < 2.0


def test_leads_put_right_while_it_watches_are_read_without_a_key() -> None:
    wrong, off, right = [6.3] * 20, [0.002] * 40, [250.0] * 30
    shown = Shown([*wrong, *off, *right])
    shown.watched(PERSON)
    assert any(words.startswith("looks like heater") and "Volts to zero first" in words for words in shown.told)
    assert shown.told[-1] == "settled"


def test_a_dial_that_rests_half_way_up_is_no_reading() -> None:
    way_up = [0.0] * 30 + [100.0 + n for n in range(50)] + [150.0] * 20 + [150.0 + 2 * n for n in range(50)]
    shown = Shown([*way_up, *[250.0] * 60])
    shown.watched(PERSON)
    assert shown.told[-1] == "settled"
    assert shown.now > len(way_up) * STEP_S + PERSON.stand


# Behind a limiter any volts may be the unit's own.
BEHIND = Due(230.0, 0.0, 345.0)


def test_behind_a_limiter_the_volts_of_the_step_before_are_no_reading() -> None:
    turned = [120.0 + 2.0 * step for step in range(50)]
    shown = Shown([115.0] * 30 + turned + [218.0] * 30)
    shown.watched(PERSON, due=BEHIND)
    assert shown.now > 80 * STEP_S  # not while it stood at 115 V for nine seconds
    assert "standing still: waiting for the volts to be turned up" in shown.told


def test_nothing_behind_a_limiter_is_waited_for_until_the_dial_is_turned() -> None:
    shown = Shown([0.0] * 40 + [23.0] * 40)
    shown.watched(PERSON, due=Due(23.0, 0.0, 34.5))
    assert shown.now > 40 * STEP_S


def test_a_shorted_unit_that_holds_the_volts_down_is_read_in_the_end() -> None:
    shown = Shown([12.0] * 3)
    shown.watched(PERSON, due=BEHIND)
    assert PERSON.rise <= shown.now < PERSON.rise + 10


def test_volts_that_stand_where_they_are_due_need_not_have_moved() -> None:
    shown = Shown([221.0] * 3)
    shown.watched(PERSON, due=BEHIND)
    assert shown.now < PERSON.stand + 4


def test_a_winding_that_really_is_dead_is_read_as_it_is_in_the_end() -> None:
    shown = Shown([0.003])
    shown.watched(PERSON, live=10.0)
    assert shown.told[-1].startswith("taken as it is")
    assert PERSON.wrong <= shown.now <= PERSON.wrong + 5


def test_what_a_restless_supply_scatters_is_kept() -> None:
    rng = random.Random(1)
    shown = Shown(250.0 + rng.gauss(0, 0.3) for _ in itertools.count())
    assert 0.1 < shown.watched(MACHINE) < 0.8


def test_a_drift_without_end_is_told_and_its_scatter_kept() -> None:
    shown = Shown(250.0 + 0.6 * n * STEP_S for n in itertools.count())
    scatter = shown.watched(MACHINE)
    assert "never settled, drifting steadily, +0.6 V a second" in shown.told[-1]
    assert scatter > 0.3


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.one_of(st.none(), st.floats(0, 1e6), st.sampled_from([0.0, 6.3, 250.0])), min_size=1, max_size=40),
    st.sampled_from([0.0, 20.0, 30.0, 800.0]),
    st.sampled_from([MACHINE, PERSON]),
    st.booleans(),
)
def test_it_ends_whatever_is_shown_and_never_has_a_lead_moved_above_25_volts(
    values: list[float | None], live: float, patience: Patience, endless: bool
) -> None:
    shown = Shown(itertools.cycle(values) if endless else values)
    shown.watched(patience, live=live)
    longest = 4 * patience.wrong + 2 * patience.rise + 2 * patience.settle + 5
    assert shown.now <= longest
    if live > HANDS_OFF_VOLTS:
        told = [words for words in shown.told if "clip" in words or "leads;" in words]
        assert all("olts to zero" in words for words in told)

"""Typed readings carry the same kind of doubt as measured ones."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from uncertainties import ufloat

from drivers.accuracy import Accuracy
from drivers.errors import ProfileError
from drivers.hand import typed_overload, typed_reading
from drivers.reading import Quantity, Reading, State

AT = datetime(2026, 1, 2, tzinfo=UTC)
CLASS_1 = Accuracy(percent_of_reading=1.0, counts=3.0)


def typed(value: float, resolution: float, moment: float = 0.0, **more: float) -> Reading:
    return typed_reading(value, resolution, Quantity.VOLTAGE_AC, CLASS_1, at=AT, monotonic=moment, **more)


def of(reading: Reading, ending: str) -> float:
    (found,) = [each for each in reading.components if each.source.endswith(ending)]
    return found.u * found.sensitivity


def test_percent_and_counts_become_rectangular_components():
    reading = typed(230.4, 0.1)
    assert of(reading, ":gain") == pytest.approx(2.304 / math.sqrt(3))
    assert of(reading, ":offset") == pytest.approx(0.3 / math.sqrt(3))
    assert of(reading, ":resolution") == pytest.approx(0.05 / math.sqrt(3))


def test_the_whole_agrees_with_an_outside_sum_of_independent_parts():
    outside = ufloat(230.4, 2.304 / 3**0.5) + ufloat(0, 0.3 / 3**0.5) + ufloat(0, 0.05 / 3**0.5)
    assert typed(230.4, 0.1).standard_uncertainty == pytest.approx(outside.std_dev)


def test_readings_to_the_same_place_share_gain_and_offset_and_not_their_rounding():
    first, second = typed(230.4, 0.1, 1.0), typed(115.1, 0.1, 2.0)
    shared = {each.source for each in first.components} & {each.source for each in second.components}
    assert shared == {"hand:voltage_ac:to0.1:gain", "hand:voltage_ac:to0.1:offset"}


def test_readings_to_different_places_share_nothing():
    first, second = typed(230.4, 0.1, 1.0), typed(11.51, 0.01, 2.0)
    assert not {each.source for each in first.components} & {each.source for each in second.components}


def test_a_same_range_ratio_keeps_offset_and_resolution_only():
    first, second = typed(200.0, 0.1, 1.0), typed(100.0, 0.1, 2.0)
    sensitivities = {"first": 1 / 100.0, "second": -200.0 / 100.0**2}
    gain = of(first, ":gain") * sensitivities["first"] + of(second, ":gain") * sensitivities["second"]
    offset = of(first, ":offset") * sensitivities["first"] + of(second, ":offset") * sensitivities["second"]
    assert gain == pytest.approx(0.0, abs=1e-15)
    assert abs(offset) > 1e-4


def test_percent_of_range_needs_the_range():
    accuracy = Accuracy(percent_of_reading=0.1, percent_of_range=0.05)
    with pytest.raises(ProfileError, match="percent of range needs the range"):
        typed_reading(1.0, 0.1, Quantity.VOLTAGE_AC, accuracy, at=AT, monotonic=0.0)
    reading = typed_reading(1.0, 0.1, Quantity.VOLTAGE_AC, accuracy, at=AT, monotonic=0.0, span=10.0)
    assert of(reading, ":10:offset") == pytest.approx(0.005 / math.sqrt(3))


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_an_accuracy_that_is_none_is_refused(wrong):
    with pytest.raises(ProfileError, match="percent_of_reading"):
        Accuracy(percent_of_reading=wrong)


def test_a_typed_overload_is_a_state():
    reading = typed_overload(Quantity.RESISTANCE, at=AT, monotonic=0.0)
    assert (reading.state, reading.value) == (State.OVERLOAD, None)

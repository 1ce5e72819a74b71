"""Ranges by value, word or number, accuracy by frequency, crest factors."""

from __future__ import annotations

import pytest

from drivers.accuracy import Accuracy
from drivers.errors import Unsupported
from drivers.line_pattern import line_pattern
from drivers.meter_function import Band, Check, MeterFunction, MeterRange
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity


def span(full_scale: float, **more: object) -> MeterRange:
    return MeterRange(full_scale, 1e-3, 1e-3, Accuracy(0.1), **more)


def volts(*ranges: MeterRange, select: tuple[str, ...] = ("VAC {range}",), **more: object) -> MeterFunction:
    return MeterFunction(Quantity.VOLTAGE_AC, select, "READ?", ranges, **more)


@pytest.mark.parametrize(
    ("here", "message"),
    [(span(10.0), "RANG 10"), (span(10.0, word="3"), "RANG 3"), (span(2e3, word="2KOHM"), "RANG 2KOHM")],
)
def test_a_range_is_said_by_value_number_or_word(here, message):
    assert here.fill("RANG {range}") == message
    assert here.fill("AUTO {volts}") == "AUTO {volts}"


@pytest.mark.parametrize(
    ("here", "said", "same"),
    [
        (span(10.0), "+1.000000E+01", True),
        (span(10.0), "100", False),
        (span(10.0), "", False),
        (span(10.0, word="3"), "3", True),
        (span(10.0, word="3"), "+3.0", True),
        (span(10.0, word="3"), "03", True),
        (span(10.0, word="3"), "10", False),
        (span(2e3, word="2KOHM"), "2KOHM", True),
        (span(2e3, word="2KOHM"), "2.000E3", True),
        (span(2e3, word="2KOHM"), "2", False),
        (span(10.0, word="3", shown="MID"), "MID", True),
        (span(10.0, word="3", shown="MID"), "3", False),
    ],
)
def test_a_range_is_known_again_as_the_meter_names_it(here, said, same):
    assert here.is_named(said) is same
    assert Check("RANG?", line_pattern("R(?P<range>.*)")).confirms("R" + said, here) is same


def test_a_check_without_a_range_is_of_the_function_alone():
    assert Check("FUNC?", line_pattern("02")).confirms("02", span(1.0))
    assert not Check("FUNC?", line_pattern("02")).confirms("021", span(1.0))


def test_a_function_whose_messages_name_no_range_ranges_itself():
    assert volts(span(1.0), select=("VAC",)).ranges_itself
    assert volts(span(1.0), select=()).ranges_itself
    assert not volts(span(1.0)).ranges_itself
    assert not load_meter_profile("scpi-meas-only").functions[Quantity.VOLTAGE_AC].ranges_itself


@pytest.mark.parametrize(("value", "full_scale"), [(0.0, 2.0), (-1.8, 2.0), (1.9, 20.0), (19.0, 200.0), (500.0, 200.0)])
def test_near_full_scale_the_larger_range_is_taken_for_granted(value, full_scale):
    assert volts(span(2.0), span(20.0), span(200.0)).range_of(value).full_scale == full_scale


def test_the_accuracy_is_that_of_the_frequency():
    bands = (Band(20.0, 45.0, Accuracy(1.0)), Band(45.0, 1e3, Accuracy(0.2)))
    here = span(10.0, bands=bands)
    assert [here.accuracy_at(hertz).percent_of_reading for hertz in (20.0, 45.0, 50.0, 1e3)] == [1.0, 1.0, 0.2, 0.2]
    with pytest.raises(Unsupported, match=r"no accuracy is stated at 16\.7 Hz, only at 20 to 45 Hz, 45 to 1000 Hz"):
        here.accuracy_at(16.7)


@pytest.mark.parametrize(
    ("value", "limit"), [(0.0, 6.0), (1.0, 6.0), (5.0, 6.0), (7.5, 4.0), (10.0, 3.0), (-10.0, 3.0)]
)
def test_a_crest_factor_falls_towards_full_scale(value, limit):
    function = volts(span(10.0), crest_factor_max=6.0, crest_factor_full_scale=3.0)
    assert function.crest_factor_limit(value, function.ranges[0]) == pytest.approx(limit)


def test_a_crest_factor_that_is_stated_once_holds_everywhere_and_none_is_none():
    assert volts(span(10.0), crest_factor_max=5.0).crest_factor_limit(10.0, span(10.0)) == 5.0
    assert volts(span(10.0)).crest_factor_limit(10.0, span(10.0)) is None

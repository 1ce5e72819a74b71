"""Wire sizes: enamel between the sizes of the table, neighbours on the shelf, what is out of range."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.wire import (
    Wire,
    conductor_tolerance,
    minimum_increase,
    nearest_size,
    overall_diameter,
    parse_wire,
    size_steps,
)
from bench.magnetics.copper import resistance_per_metre_limits, wire_resistance

BARE = st.floats(0.01e-3, 6e-3)


@given(BARE, st.floats(1.0, 1.5), st.sampled_from([1, 2]))
def test_a_thicker_wire_is_never_thinner_over_its_enamel(diameter: float, ratio: float, grade: int) -> None:
    thicker = min(diameter * ratio, 6e-3)
    assert overall_diameter(diameter, grade) <= overall_diameter(thicker, grade)


@given(BARE)
def test_grade_2_is_over_grade_1_is_over_the_bare_wire(diameter: float) -> None:
    assert diameter < overall_diameter(diameter, 1) < overall_diameter(diameter, 2) < 1.8 * diameter


@given(st.floats(0.071e-3, 2e-3), st.sampled_from([1, 2]))
def test_the_least_enamel_is_less_than_the_most(diameter: float, grade: int) -> None:
    assert 0 < minimum_increase(diameter, grade) < overall_diameter(diameter, grade) - diameter


@given(st.floats(0.071e-3, 6e-3))
def test_tolerance_is_one_percent_of_thick_wire_and_four_of_the_finest(diameter: float) -> None:
    # 0.006 of 0.63 mm and 0.003 of 0.071 mm are the ends of the table.
    assert 0.0095 < conductor_tolerance(diameter) / diameter < 0.043


@given(st.floats(0.071e-3, 6e-3))
def test_standard_copper_lies_within_the_limits_of_new_wire(diameter: float) -> None:
    limits = resistance_per_metre_limits(diameter, conductor_tolerance(diameter))
    assert limits.minimum < limits.nominal < wire_resistance(1.0, diameter) < limits.maximum


@pytest.mark.parametrize("step", [-0.000_05, 0.000_05])
def test_a_size_of_the_table_is_met_in_spite_of_rounding(step: float) -> None:
    assert overall_diameter((0.4 + step) * 1e-3, 1) == overall_diameter(0.4e-3, 1)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: overall_diameter(0.009e-3, 1), "0.009 mm bare.*0.01 mm to 6 mm"),
        (lambda: overall_diameter(6.1e-3, 1), "6.1 mm bare.*0.01 mm to 6 mm"),
        (lambda: overall_diameter(0.4e-3, 3), "grade 3, expected 1 or 2"),
        (lambda: minimum_increase(0.05e-3, 1), "0.05 mm.*0.071 mm to 2 mm"),
        (lambda: minimum_increase(2.2e-3, 1), "2.2 mm.*0.071 mm to 2 mm"),
        (lambda: conductor_tolerance(0.05e-3), "0.05 mm.*0.071 mm to 6 mm"),
        (lambda: nearest_size(2.2e-3), "2.2 mm.*0.067 mm to 2.12 mm"),
        (lambda: resistance_per_metre_limits(0.063e-3, 0.0), "0.063 mm"),
        (lambda: resistance_per_metre_limits(0.1e-3, 0.1e-3), "tolerance 0.1 mm"),
    ],
)
def test_out_of_range_is_refused_with_value_and_limit(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=message):
        call()


@pytest.mark.parametrize(
    ("measured", "size"),
    [(0.402, "0.4 mm"), (0.4237, "0.4 mm"), (0.4248, "0.45 mm"), (0.0675, "0.071 mm"), (2.1, "2 mm")],
)
def test_nearest_size_is_nearest_by_ratio(measured: float, size: str) -> None:
    assert nearest_size(measured * 1e-3).name == size


@pytest.mark.parametrize(
    ("wire", "steps", "neighbour"),
    [
        ("0.4 mm", 1, "0.45 mm"),
        ("0.4 mm", -2, "0.315 mm"),
        ("0.3 mm", 1, "0.315 mm"),
        ("0.3 mm", -1, "0.28 mm"),
        ("0.3 mm", 2, "0.355 mm"),
        ("0.3 mm", -2, "0.25 mm"),
        ("2.5 mm", -1, "2 mm"),
        ("0.05 mm", 1, "0.071 mm"),
        ("26 AWG", 1, "25 AWG"),
        ("26 AWG", -1, "27 AWG"),
        ("SWG 24", 2, "22 SWG"),
    ],
)
def test_a_step_up_is_the_next_thicker_size_of_the_same_series(wire: str, steps: int, neighbour: str) -> None:
    found = size_steps(parse_wire(wire), steps)
    assert found == parse_wire(neighbour)


@given(
    st.one_of(
        st.integers(14, 40).map(lambda n: parse_wire(f"{n} SWG")),
        st.integers(14, 40).map(lambda n: parse_wire(f"{n} AWG")),
        st.floats(0.12e-3, 1.4e-3).map(nearest_size),
    ),
    st.integers(-3, 3),
)
def test_steps_there_lead_back_by_the_same_number(wire: Wire, steps: int) -> None:
    there = size_steps(wire, steps)
    assert (there.diameter > wire.diameter) == (steps > 0)
    back = size_steps(there, -steps)
    assert back.name == wire.name
    assert back.diameter == pytest.approx(wire.diameter, rel=1e-12)


@pytest.mark.parametrize(
    ("wire", "steps"), [("2 mm", 1), ("0.071 mm", -1), ("3 AWG", 1), ("50 AWG", -1), ("10 SWG", 1), ("50 SWG", -1)]
)
def test_a_series_has_an_end(wire: str, steps: int) -> None:
    with pytest.raises(ValueError, match="no size"):
        size_steps(parse_wire(wire), steps)

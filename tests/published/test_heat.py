"""Temperature rise, heating curves and insulation classes against published figures; the source stands beside each.

Published checks, numbered by us. Rise by resistance is in test_copper.py.
"""

from __future__ import annotations

import math

import pytest

from bench.job.profiles import load_table
from bench.magnetics.heating import cooling_time_constant, final_rise, rise_after
from bench.magnetics.thermal import estimate_rise, load_loss_at, outer_surface
from bench.magnetics.thermal_class import thermal_class

HOUR = 3600.0


def test_load_loss_at_its_reference_temperature() -> None:
    # 4.6: A.S. Langsdorf, Theory of Alternating Current Machinery, Ex 1.15 p33: 630 W at 20 degC, 504 W of them ohmic:
    # at 75 degC 612.9 + 103.6 = 716.5 W. Ohmic loss rises, stray loss falls.
    ohmic, stray = load_loss_at(504.0, 630.0 - 504.0, 293.15, 348.15)
    assert ohmic == pytest.approx(612.9, abs=0.1)
    assert stray == pytest.approx(103.6, abs=0.1)
    assert ohmic + stray == pytest.approx(716.5, abs=0.1)


def test_final_rise_from_two_readings() -> None:
    # 4.7: B.L. Theraja, A Textbook of Electrical Technology vol. III, ch. 45: 25 K after 1 h, 37.5 K after 2 h: 50 K in
    # the end, time constant 1.443 h.
    final, time_constant = final_rise(25.0, 37.5, HOUR)
    assert final == pytest.approx(50.0)
    assert time_constant / HOUR == pytest.approx(1.443, abs=0.001)
    assert time_constant / HOUR == pytest.approx(1 / math.log(2))


def test_time_constant_of_cooling() -> None:
    # 4.8: Theraja vol. III, ch. 45, same example: from a rise of 50 K to 40 degC within 1.5 h, in air of 30 degC:
    # 0.932 h.
    time_constant = cooling_time_constant(50.0, 40.0 - 30.0, 1.5 * HOUR)
    assert time_constant / HOUR == pytest.approx(0.932, abs=0.001)
    assert rise_after(1.5 * HOUR, 0.0, time_constant, start=50.0) == pytest.approx(10.0)


CLASSES = [
    # datsan.com.tr, page on thermal classes (IEC 60085 and IEC 60076-11 behind it recalled, not read).
    pytest.param(
        "IEC 60085", {"Y": 90, "A": 105, "E": 120, "B": 130, "F": 155, "H": 180, "N": 200, "R": 220}, id="4.9"
    ),
    pytest.param(
        "IEC 60076-11", {"A": 60, "E": 75, "B": 80, "F": 100, "H": 125, "N": 135, "R": 150}, id="4.10"
    ),
    # IEC 61558-1 clauses 14 and 15, from memory: the table says so too. They lock what was recalled, and prove nothing.
    pytest.param("IEC 61558-1 normal use", {"A": 100, "E": 115, "B": 120, "F": 140, "H": 165}, id="4.12, from memory"),
    pytest.param("IEC 61558-1 overload", {"A": 150, "E": 165, "B": 175, "F": 190, "H": 210}, id="4.13, from memory"),
]  # fmt: skip


@pytest.mark.parametrize(("standard", "limits"), CLASSES)
def test_insulation_classes(standard: str, limits: dict[str, float]) -> None:
    table = load_table("limits", "insulation-classes")
    found = {letter: thermal_class(table, standard, letter).limit for letter in table["standard"][standard]["class"]}
    assert found == limits


def test_a_rise_and_a_temperature_of_one_letter_are_two_rules() -> None:
    # A mean rise by IEC 60076-11 is no absolute limit by IEC 61558-1: 60 K and 75 K for class A in air of 25 degC.
    table = load_table("limits", "insulation-classes")
    rise, temperature = (thermal_class(table, name, "A") for name in ("IEC 60076-11", "IEC 61558-1 normal use"))
    assert temperature.rise_allowed(298.15) - rise.rise_allowed(298.15) == pytest.approx(15.0)


def test_the_estimate_holds_a_handbook_s_rise() -> None:
    # 1.18: McLyman, Transformer and Inductor Design Handbook, 3rd ed., ch. 7, first example (from memory): 13.68 W lost
    # in a unit of 479 cm2: 23.9 K. His watts are at their final temperature, so all are put in as core loss here.
    found = estimate_rise(outer_surface(0.0381, 0.0381, 0.01905, 0.05715), 13.68, 0.0, 298.15)
    assert found.surface_load == pytest.approx(23.9, abs=0.05)
    assert abs(found.rise - 23.9) < found.u

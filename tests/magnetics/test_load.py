"""Loads that make no circuit are refused when they are written down."""

from __future__ import annotations

import pytest

from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.load import Circuit, Diode, Filter, RectifierLoad, ResistiveLoad


def test_a_rated_load_is_the_resistance_that_takes_its_amps_at_its_volts() -> None:
    assert ResistiveLoad.rated("heater", 6.3, 3.0).resistance == pytest.approx(2.1)


@pytest.mark.parametrize(("voltage", "current"), [(0.0, 1.0), (6.3, 0.0), (float("inf"), 1.0)])
def test_a_rated_load_needs_volts_and_amps(voltage: float, current: float) -> None:
    with pytest.raises(ValueError, match="expected more than 0"):
        ResistiveLoad.rated("heater", voltage, current)


@pytest.mark.parametrize(
    ("kind", "values", "said"),
    [
        (Filter.NONE, {}, "either a direct current or a load resistance"),
        (Filter.NONE, {"dc_current": 1.0, "load_resistance": 10.0}, "either a direct current or a load resistance"),
        (Filter.NONE, {"dc_current": 1.0}, "capacitance is 0 F"),
        (Filter.NONE, {"load_resistance": 10.0, "capacitance": 1e-6}, "makes it a capacitor input"),
        (Filter.CAPACITOR_INPUT, {"load_resistance": 10.0}, "capacitance is 0 F"),
        (Filter.CAPACITOR_INPUT, {"dc_current": 1.0, "capacitance": 1e-6, "choke_inductance": 1.0}, "choke input only"),
        (Filter.CHOKE_INPUT, {"load_resistance": 10.0}, "choke inductance is 0 H"),
        (Filter.CHOKE_INPUT, {"dc_current": -1.0, "choke_inductance": 1.0}, "direct current is -1 A"),
    ],
)
def test_a_rectifier_load_that_makes_no_circuit_is_refused(kind: Filter, values: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        RectifierLoad("ht", Circuit.BRIDGE, kind, **values)  # type: ignore[arg-type]


def test_a_diode_neither_gives_volts_nor_has_a_negative_slope() -> None:
    with pytest.raises(ValueError, match=r"forward drop is -0\.7 V"):
        Diode(-0.7, 0.0)
    with pytest.raises(ValueError, match="slope resistance is -1 ohm"):
        Diode(0.7, -1.0)


def test_halves_add_up_to_the_winding() -> None:
    with pytest.raises(ValueError, match="don't add up"):
        LoadedWinding("ht", 1554, 190.0, (90.0, 90.0))
    with pytest.raises(ValueError, match="resistance of ht is 0"):
        LoadedWinding("ht", 1554, 0.0)

"""The flux of a core under volts of any wave, against the solution for a sine and against simple physics."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.job.profiles import load_table
from bench.magnetics.excitation import MagneticCore, exciting_at_terminals
from bench.magnetics.loaded_core import loaded_core
from bench.magnetics.steel import Steel

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2)
PHASE = 2 * math.pi * np.arange(301) / 301


def test_nothing_gives_nothing() -> None:
    found = loaded_core(CORE, 662, np.zeros(301), 50.0, 13.0)
    assert found.core_loss == 0.0
    assert not found.current.any()


@pytest.mark.parametrize("voltage", [60.0, 230.0, 300.0, 340.0])
@pytest.mark.parametrize("leakage", [0.0, 0.03])
def test_a_sine_gives_what_the_exciting_current_at_terminals_is(voltage: float, leakage: float) -> None:
    found = loaded_core(CORE, 662, math.sqrt(2) * voltage * np.sin(PHASE), 50.0, 13.0, leakage)
    alone = exciting_at_terminals(CORE, 662, voltage, 50.0, 13.0, leakage)
    assert math.sqrt(np.mean(found.current**2)) == pytest.approx(alone.current, rel=2e-3)
    assert found.core_loss == pytest.approx(alone.core_loss, rel=1e-3)
    assert math.sqrt(np.mean(found.emf**2)) == pytest.approx(alone.emf, rel=1e-4)


def test_the_core_takes_its_loss_from_the_emf() -> None:
    found = loaded_core(CORE, 662, math.sqrt(2) * 230 * np.sin(PHASE), 50.0, 13.0)
    # The magnetising part adds nothing, up to what 301 instants say of a field curve with kinks.
    assert np.mean(found.emf * found.current) == pytest.approx(found.core_loss, rel=1e-4)


def test_direct_volts_end_as_direct_current_through_the_copper() -> None:
    found = loaded_core(CORE, 662, math.sqrt(2) * 230 * np.sin(PHASE) + 0.5, 50.0, 13.0)
    assert np.mean(found.current) == pytest.approx(0.5 / 13.0, rel=1e-4)
    assert np.mean(found.flux_density) > 0.1


def test_an_even_number_of_instants_is_refused() -> None:
    with pytest.raises(ValueError, match="300 instants"):
        loaded_core(CORE, 662, np.ones(300), 50.0, 13.0)
    with pytest.raises(ValueError, match="resistance of the fed winding is 0 ohm"):
        loaded_core(CORE, 662, np.ones(301), 50.0, 0.0)

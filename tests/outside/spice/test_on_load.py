"""What the transients of loaded units say beyond RMS values: flux, halves, and that they have come to rest."""

from __future__ import annotations

import math

import pytest

from bench.magnetics.load import Circuit, RectifierLoad
from tests.outside.spice.kept import kept_result
from tests.outside.spice.on_load_cases import CASES, UNITS, Unit

each = pytest.mark.parametrize(
    ("unit", "measured"), [(u, kept_result(c).measured) for u, c in zip(UNITS, CASES, strict=True)]
)


@each
def test_the_peak_of_the_flux_is_the_one_of_the_transient(unit: Unit, measured: dict[str, float]) -> None:
    highest = max(measured["flux_highest"], -measured["flux_lowest"])
    assert unit.solved().flux_density == pytest.approx(highest, rel=0.01)


@each
def test_direct_flux_comes_from_half_wave_and_unequal_halves_alone(unit: Unit, measured: dict[str, float]) -> None:
    circuits = {load.circuit for load in unit.loads if isinstance(load, RectifierLoad)}
    offset = abs(measured["flux_highest"] + measured["flux_lowest"]) / 2
    if Circuit.HALF_WAVE in circuits:
        assert offset > 0.05
    elif Circuit.FULL_WAVE not in circuits:
        assert offset < 1e-3


@each
def test_halves_of_a_winding_share_its_current(unit: Unit, measured: dict[str, float]) -> None:
    found = unit.solved()
    for load in unit.loads:
        if isinstance(load, RectifierLoad) and load.circuit is Circuit.FULL_WAVE:
            halves = [measured[f"i_{load.winding}_{half}"] for half in "ab"]
            both = math.sqrt(sum(half**2 for half in halves) / 2)
            assert found.windings[load.winding].current == pytest.approx(both, rel=0.005)

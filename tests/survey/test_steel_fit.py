"""Which steel a curve fits, with the air in the joints; and that none is named where none does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.job.as_found import CurvePoint
from bench.job.profiles import known, load_table
from bench.magnetics.excitation import MagneticCore, exciting
from bench.magnetics.steel import Steel
from bench.survey.steel_fit import fit_steels
from tests.survey.units import RULES

STEELS = {name: Steel.from_table(load_table("steels", name)) for name in known("steels") if "unknown" not in name}
CORE = MagneticCore(1.34e-3, 0.192, STEELS["m400-50a"], joint=8e-6, building_factor=1.2)
VOLTS = (25.0, 50.0, 75.0, 90.0, 100.0, 110.0, 117.0, 125.0)


def _read(core: MagneticCore, factor: float = 1.0, power: bool = True) -> list[CurvePoint]:
    taken = [(v, exciting(core, 280, v, 50.0)) for v in VOLTS]
    rows = [
        {"voltage": f"{v} V", "current": f"{one.current * factor:.6f} A"}
        | ({"power": f"{one.core_loss + 3.4 * (one.current * factor) ** 2:.4f} W"} if power else {})
        for v, one in taken
    ]
    return [CurvePoint.model_validate(row) for row in rows]


def _same_curves(one: str, other: str) -> bool:
    return bool((STEELS[one].field == STEELS[other].field).all())


@pytest.mark.parametrize("name", ["m530-65a", "m270-35a", "m800-50a"])
def test_the_steel_that_made_the_curve_comes_first(name: str) -> None:
    fits = fit_steels(STEELS, _read(replace(CORE, steel=STEELS[name])), 280, 50.0, CORE, 3.4, RULES)
    best = fits[0]
    assert best.steel == name or _same_curves(best.steel, name)
    assert best.scatter < 0.02
    assert sum(one.probability for one in fits) == pytest.approx(1.0)


def test_air_in_the_joints_is_found_and_not_taken_for_another_steel() -> None:
    gapped = replace(CORE, joint=60e-6)
    best = fit_steels(STEELS, _read(gapped), 280, 50.0, CORE, 3.4, RULES)[0]
    assert best.joint == pytest.approx(60e-6, rel=0.35)
    assert best.fits


def test_a_curve_that_is_out_by_a_range_of_the_ammeter_fits_none() -> None:
    fits = fit_steels(STEELS, _read(CORE, factor=0.1, power=False), 280, 50.0, CORE, 3.4, RULES)
    assert not fits[0].fits


def test_a_frequency_that_no_loss_table_reaches_gives_no_fit() -> None:
    assert fit_steels(STEELS, _read(CORE), 280, 400.0, CORE, 3.4, RULES) == []

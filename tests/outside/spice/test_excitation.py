"""The transients that the exciting current is compared with have come to rest."""

from __future__ import annotations

import pytest

from tests.outside.spice.case import SpiceCase
from tests.outside.spice.excitation_cases import CASES
from tests.outside.spice.kept import kept_result


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_offset_of_the_flux_is_left(case: SpiceCase) -> None:
    measured = kept_result(case).measured
    assert -measured["flux_lowest"] == pytest.approx(measured["flux_density"], rel=1e-3)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_watts_taken_are_core_loss_and_copper_loss(case: SpiceCase) -> None:
    copper = [line.split()[3] for line in case.netlist().splitlines() if line.startswith("R1 ")]
    resistance = float(copper[0]) if copper else 0.0
    measured = kept_result(case).measured
    lost = measured["core_loss"] + resistance * measured["current"] ** 2
    assert measured["power"] == pytest.approx(lost, rel=2e-3)

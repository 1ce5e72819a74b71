"""What is kept of ngspice belongs to the circuits as they are written now, and agrees with ours."""

from __future__ import annotations

import pytest

from tests.outside.spice import ngspice
from tests.outside.spice.case import SpiceCase
from tests.outside.spice.cases import CASES
from tests.outside.spice.kept import digest, kept_netlist, kept_result

each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


@each_case
def test_the_kept_netlist_is_the_one_that_is_written_now(case: SpiceCase) -> None:
    assert kept_netlist(case) == case.netlist()


@each_case
def test_the_kept_result_is_of_the_kept_netlist(case: SpiceCase) -> None:
    assert kept_result(case).netlist == digest(kept_netlist(case))


@each_case
def test_ours_is_what_ngspice_found(case: SpiceCase) -> None:
    measured = kept_result(case).measured
    ours = case.ours()
    assert ours
    for quantity, value in ours.items():
        assert value == pytest.approx(measured[quantity], rel=case.within), quantity


@pytest.mark.campaign
@pytest.mark.skipif(not ngspice.installed(), reason="ngspice is not installed")
@each_case
def test_ngspice_finds_the_kept_result_again(case: SpiceCase) -> None:
    measured = ngspice.run(case.netlist())
    assert measured == pytest.approx(kept_result(case).measured, rel=1e-3)


def test_names_are_unique() -> None:
    assert len({case.name for case in CASES}) == len(CASES)

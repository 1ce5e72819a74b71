"""How long an exciting curve takes us, and how long it takes ngspice to run the same cores in the same minute."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from bench.design.core_drawn import magnetic_core
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.magnetics.excitation import exciting
from bench.whole_test import rules_named
from tests.outside.spice import ngspice
from tests.outside.spice.excitation_netlist import CoreCircuit, excitation_netlist, field_table

pytestmark = pytest.mark.benchmark

TURNS, FREQUENCY = 662, 50.0
VOLTS = np.linspace(20.0, 253.0, 12)


def _core() -> Any:
    core = magnetic_core(read_job(example_job("coastal-receiver")), rules_named()["assembly"])
    assert core is not None
    return core


@pytest.mark.benchmark(group="exciting curve of 12 points")
def test_exciting_curve(benchmark: Any) -> None:
    benchmark.extra_info.update(role="ours", what="")
    core = _core()
    benchmark(lambda: [exciting(core, TURNS, v, FREQUENCY) for v in VOLTS])


@pytest.mark.benchmark(group="exciting curve of 12 points")
@pytest.mark.skipif(not ngspice.installed(), reason="ngspice is not installed: no reference for the exciting curve")
def test_the_curve_by_ngspice(benchmark: Any) -> None:
    # Three cycles a point, the last measured: the EMF alone, begun at its peak, leaves no offset to wait for.
    benchmark.extra_info.update(role="reference", what=f"12 transients of 3 cycles by {ngspice.version()}")
    core = _core()
    netlists = [_netlist(core, float(v)) for v in VOLTS]
    found = benchmark.pedantic(lambda: [ngspice.run(one)["current"] for one in netlists], rounds=3)
    assert found == pytest.approx([exciting(core, TURNS, v, FREQUENCY).current for v in VOLTS], rel=0.02)


def _netlist(core: Any, volts: float) -> str:
    flux = exciting(core, TURNS, volts, FREQUENCY).flux_density
    loss = float(core.steel.loss_at(flux, FREQUENCY)) * core.mass * core.building_factor
    return excitation_netlist(
        CoreCircuit(
            title=f"{volts:.0f} V",
            field=field_table(core.steel.flux_density, core.steel.field),
            turns=TURNS,
            area=core.area,
            path=core.path,
            joint=core.joint,
            voltage=volts,
            frequency=FREQUENCY,
            resistance=0.0,
            inductance=0.0,
            loss=((flux, loss),),
        ),
        cycles=3,
        measured=1,
    )

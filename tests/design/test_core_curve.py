"""The curve of a changed core from the parts of the good one is the one that it has by itself."""

from __future__ import annotations

import numpy as np
import pytest

from bench.design.core_curve import CoreCurve
from bench.design.core_drawn import changed, magnetic_core
from bench.job.expectation import Variant
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve
from bench.whole_test import rules_named

CORE = magnetic_core(read_job(example_job("coastal-receiver")), rules_named()["assembly"])
VOLTS = np.array([8.0, 60.0, 115.0, 172.0, 230.0, 255.0])


@pytest.mark.parametrize(
    ("variant", "turns"),
    [
        (Variant(), 662.0),
        (Variant(joint_added=0.05e-3), 662.0),
        (Variant(stack_factor=0.9), 662.0),
        (Variant(field_factor=1.4, loss_factor=1.9), 662.0),
        (Variant(), 640.0),
        (Variant(joint_added=0.02e-3, stack_factor=0.95, field_factor=1.1, loss_factor=1.2), 700.0),
    ],
)
def test_sums_of_parts_are_the_curve_itself(variant: Variant, turns: float) -> None:
    assert CORE is not None
    found = CoreCurve(CORE, 662.0, VOLTS, 50.0).changed(variant, turns)
    own = changed(CORE, variant)
    itself = exciting_curve(own, turns, found.voltage, 50.0)
    assert found.current == pytest.approx(itself.current, rel=1e-9)
    assert found.core_watts == pytest.approx(itself.core_loss, rel=1e-9)
    # The spread of the steel is told by its published curves here, and by one figure there.
    amps, watts = curve_log_spreads(own, turns, found.voltage, 50.0)
    assert found.u_log_watts == pytest.approx(watts, rel=1e-6)
    assert found.u_log_current == pytest.approx(amps, rel=0.15)

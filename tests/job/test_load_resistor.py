"""Load resistors of a bench file, and the class of the equipment in a job."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from bench.job.bench_file import BenchFile
from bench.job.model import Targets


def test_a_load_resistor_has_ohms_watts_tolerance_and_how_many() -> None:
    bench = BenchFile.model_validate(
        {"schema": 1, "load_resistor": [{"resistance": "10 ohm", "power": "50 W", "tolerance": 0.1, "count": 2}]}
    )
    (one,) = bench.load_resistor
    assert (one.resistance, one.power, one.tolerance, one.count) == (10.0, 50.0, 0.1, 2)


@pytest.mark.parametrize(
    "wrong",
    [{"resistance": "10 ohm"}, {"resistance": "10 ohm", "power": "50 W", "count": 0},
     {"resistance": "0 ohm", "power": "50 W"}, {"resistance": "10 ohm", "power": "50 W", "tolerance": 2}],
)  # fmt: skip
def test_a_load_resistor_that_can_not_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match="load_resistor"):
        BenchFile.model_validate({"schema": 1, "load_resistor": [wrong]})


def test_the_class_of_the_equipment_is_one_or_two() -> None:
    assert Targets.model_validate({"safety_class": "II"}).safety_class == "II"
    with pytest.raises(ValidationError):
        Targets.model_validate({"safety_class": "III"})

"""A reading that a meter gave on its line keeps the meter's own doubt; a curve that was read anew stands alone."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from bench.estimate import Estimate
from bench.job.as_found import AsFound
from bench.survey.evidence import evidence_of
from bench.survey.gathered import AS_FOUND, gather
from bench.survey.reading_context import written
from tests.survey.units import BENCH_METER, RULES

GAIN = {"source": "meter:gain", "u": 5e-4, "sensitivity": 117.0}
NOISE = {"source": "meter:noise1", "u": 0.002}
FILE: dict[str, Any] = {
    "frequency": "50 Hz",
    "fed": "primary",
    "winding": [{"name": "primary", "role": "primary"}, {"name": "ht", "role": "secondary"}],
    "exciting": [{"voltage": "20 V", "current": "46 mA"}, {"voltage": "60 V", "current": "80 mA"}],
}


def found(**more: Any) -> AsFound:
    return AsFound.model_validate({**FILE, **more})


def test_components_take_the_place_of_what_the_bench_file_says() -> None:
    pair = {"fed": "primary", "fed_voltage": "117.000 V", "winding": "ht", "voltage": "539.0 V"}
    typed = evidence_of(found(volts=[pair]), RULES, lambda _: BENCH_METER).volts[0]
    metered = {**pair, "fed_components": [GAIN, NOISE], "components": [{**GAIN, "sensitivity": 539.0}]}
    read = evidence_of(found(volts=[metered]), RULES, lambda _: BENCH_METER).volts[0]
    assert read.fed_volts.parts == pytest.approx({"meter:gain": 0.0585, "meter:noise1": 0.002})
    # One gain in both: it cancels, and the noise is left.
    assert (read.volts / read.fed_volts).relative == pytest.approx(0.002 / 117)
    assert (typed.volts / typed.fed_volts).relative > 10 * (read.volts / read.fed_volts).relative


def test_components_of_one_source_add_up_with_their_signs() -> None:
    ohms = {"winding": "ht", "resistance": "176.0 ohm", "temperature": "20 degC"}
    parts = [{"source": "leads", "u": 0.1}, {"source": "leads", "u": 0.1, "sensitivity": -1.0}, NOISE]
    read = evidence_of(found(resistance=[{**ohms, "components": parts}]), RULES, lambda _: BENCH_METER)
    assert read.resistances["ht"].parts["leads"] == 0.0
    assert read.resistances["ht"].parts["meter:noise1"] == pytest.approx(0.002)


@pytest.mark.parametrize("bad", [{"source": ""}, {"source": "x", "u": -1.0}, {"source": "x", "u": float("nan")}])
def test_a_component_that_is_none_is_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        found(resistance=[{"winding": "ht", "resistance": "1 ohm", "components": [{"u": 1.0, **bad}]}])


def test_a_curve_that_was_read_anew_takes_the_place_of_the_file_s_and_of_every_earlier_one() -> None:
    def point(volts: float, **more: Any) -> tuple[str, dict[str, Any]]:
        body = {"part": "exciting", "fed": "primary", "frequency": "50 Hz", "voltage": f"{volts} V"}
        return AS_FOUND, {**body, "current": "50 mA", **more}

    added = [point(24.1), point(48.2)]
    assert [one.voltage for one in gather(found(), added).found.exciting] == [20.0, 24.1, 48.2, 60.0]
    again = [*added, point(24.3, anew=True), point(48.1)]
    assert [one.voltage for one in gather(found(), again).found.exciting] == [24.3, 48.1]


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (107.298314, 0.0123, "107.2983 ohm"),
        (0.0490012, 4.9e-4, "0.049001 ohm"),
        (1234567.0, 250.0, "1234567 ohm"),
        (3.0, 0.0, "3.000000 ohm"),
    ],
)
def test_a_reading_is_written_to_a_hundredth_of_its_doubt(value: float, u: float, text: str) -> None:
    assert written(Estimate(value, {"x": u} if u else {}), "ohm") == text

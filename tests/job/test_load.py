"""A load that nothing could be worked out for is refused where it is read, in one line."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from bench.job.model import Job

HT = {"name": "ht", "role": "secondary", "turns": 60, "taps": [{"name": "centre", "turn": 30}]}


def _job(load: dict[str, Any], **ht: Any) -> Job:
    return Job.model_validate(
        {
            "schema": 1,
            "identity": {"number": "X"},
            "winding": [{"name": "mains", "role": "primary", "turns": 500}, {**HT, **ht}],
            "load": [{"winding": "ht", "current": "50 mA", **load}],
        }
    )


def _said(load: dict[str, Any], **ht: Any) -> str:
    with pytest.raises(ValidationError) as problem:
        _job(load, **ht)
    (one,) = problem.value.errors()
    assert "\n" not in one["msg"]
    return str(one["msg"]).removeprefix("Value error, ")


CAPACITOR = {"filter": "capacitor", "capacitance": "16 uF"}


@pytest.mark.parametrize(
    ("load", "said"),
    [
        (
            {"winding": "ht.centre"},
            "a load of 'ht.centre', expected a whole winding; a section with a load of its own is written as a winding "
            "of its own",
        ),
        (
            {"winding": "ht."},
            "a load of 'ht.', expected a whole winding; a section with a load of its own is written as a winding "
            "of its own",
        ),
        ({"winding": "lamp"}, "a load of 'lamp', expected a winding's name"),
        ({"winding": "mains"}, "a load of 'mains', which is the winding that is fed, expected a secondary"),
        ({"filter": "choke"}, "the load of ht has a filter and no rectifier, expected rectifier = 'bridge'"),
        (
            {"diode_drop": "1 V"},
            "the load of ht has diode_drop and no rectifier, expected rectifier = 'bridge' or no diode_drop",
        ),
        (
            {"rectifier": "bridge", "capacitance": "16 uF"},
            "the load of ht has capacitance and no filter, expected filter = 'capacitor' or no capacitance",
        ),
        (
            {"rectifier": "bridge", "choke": "10 H"},
            "the load of ht has choke and no choke input, expected filter = 'choke' or no choke",
        ),
        (
            {"rectifier": "bridge", **CAPACITOR, "choke_resistance": "100 ohm"},
            "the load of ht has choke_resistance and no choke input, expected filter = 'choke' or no choke_resistance",
        ),
        (
            {"rectifier": "bridge", "filter": "choke", "capacitance": "8 uF"},
            "the filter of ht has no choke, expected such as choke = '10 H'",
        ),
        (
            {"rectifier": "bridge", "filter": "capacitor"},
            "the filter of ht has no capacitance, expected such as capacitance = '16 µF'",
        ),
    ],
)
def test_it_is_refused_with_what_was_expected(load: dict[str, Any], said: str) -> None:
    assert _said(load) == said


@pytest.mark.parametrize("taps", [(), ({"name": "a", "turn": 10}, {"name": "b", "turn": 30})])
def test_a_full_wave_rectifier_without_exactly_one_tap_is_refused(taps: tuple[dict[str, Any], ...]) -> None:
    assert _said({"rectifier": "full-wave", **CAPACITOR}, taps=taps) == (
        f"a full-wave rectifier on ht, which has {len(taps)} taps, expected exactly 1: its centre"
    )


@pytest.mark.parametrize(
    "load",
    [
        {},
        {"rectifier": "full-wave", **CAPACITOR, "diode_drop": "1 V", "diode_resistance": "180 ohm"},
        {"rectifier": "half-wave"},
        {
            "rectifier": "bridge",
            "filter": "choke",
            "choke": "10 H",
            "choke_resistance": "90 ohm",
            "capacitance": "8 uF",
        },
    ],
)
def test_all_that_can_be_worked_out_is_read(load: dict[str, Any]) -> None:
    assert _job(load).load[0].winding == "ht"

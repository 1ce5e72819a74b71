"""One instrument over time: a drift that was put in is found, and one that was not is not."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.instrument_trend import instrument_trend, trend_document, trend_lines, trend_rows
from bench.sitting.problems import BadInput

_BEGIN = datetime(2026, 1, 5, 9, tzinfo=UTC)


class _Clock:
    def __init__(self) -> None:
        self.now = _BEGIN

    def __call__(self) -> datetime:
        return self.now


def _record(path: Path, drift: float, *, tests: int = 10, serials: tuple[str, ...] = ("S 1",)) -> Store:
    """A test a month; the meter reads the mains' frequency and ohms, and drifts by so much a year.  Units scatter by
    1 % in their ohms, the mains by 0.01 %."""
    clock, draw = _Clock(), np.random.default_rng(3)
    store = Store(path, utcnow=clock)
    for number in range(tests):
        clock.now = _BEGIN + timedelta(days=30 * number)
        gain = 1.0 + drift * 30 * number / 365.25
        job, use = f"J-{number}", f"scpi@/dev/ttyUSB{number % 2}"
        calibrated = "2026-01-02" if number < 5 else "2026-06-01"
        serial = serials[number % len(serials)]
        meter = {"what": "meter", "name": "desk", "use": use, "serial": serial, "calibrated": calibrated}
        store.append(job, Kind.JOB_FILE, {"file": "a.toml", "text": ""})
        store.append(job, Kind.INSTRUMENT, meter)
        store.append(job, Kind.TEST_BEGUN, {"procedure": "before varnish"})
        steps = [
            _step("frequency", "frequency", 50.0, 50.0 * gain * (1 + 1e-4 * draw.normal()), use, 1e-5, 1e-4),
            _step("resistance:primary", "resistance", 16.0, 16.0 * gain * (1 + 0.01 * draw.normal()), use, 1e-4, 1e-3),
        ]
        store.append(job, Kind.RESULT, {"verdict": "accepted", "steps": steps, "findings": [], "not_done": []})
    return store


def _step(name: str, quantity: str, due: float, measured: float, use: str, noise: float, gain: float) -> dict[str, Any]:
    parts = {f"{use}:{quantity}:100:gain": gain * measured / math.sqrt(3), f"{use}:#{name}:noise": noise * measured}
    return {
        "id": name, "expected": due, "measured": measured, "unit": "1", "k": 2.0,
        "uncertainty": 2 * math.hypot(*parts.values()),
        "components": [{"source": source, "u": u, "sensitivity": 1.0} for source, u in parts.items()],
    }  # fmt: skip


def test_a_drift_that_was_put_in_is_found(tmp_path: Path) -> None:
    with _record(tmp_path / "records.sqlite", 0.002) as store:
        trend = instrument_trend(store, "s 1")
    drifts = {one.quantity: one for one in trend.drifts}
    frequency = drifts["frequency"].line
    assert frequency is not None
    assert frequency.significant
    assert abs(frequency.slope - 0.002) < frequency.slope_within
    ohms = drifts["resistance"].line  # the same drift is lost in the scatter of the units' wire, and so it is said
    assert ohms is not None
    assert not ohms.significant
    assert (trend.jobs, trend.key) == (10, "S 1")
    assert [one.calibrated for one in trend.calibrated] == ["2026-01-02", "2026-06-01"]
    lines = trend_lines(trend)
    assert lines[-1] == "A drift shows in frequency: have it checked."


def test_a_meter_that_does_not_drift_is_not_said_to(tmp_path: Path) -> None:
    with _record(tmp_path / "records.sqlite", 0.0) as store:
        trend = instrument_trend(store, "desk")
    assert trend_lines(trend)[-1] == "No drift shows."
    document = trend_document(trend)
    assert document["schema"] == 1
    assert len(document["deviations"]) == len(trend_rows(trend)) == 20
    assert all(abs(one["accuracy_percent"] - (0.01 if one["quantity"] == "frequency" else 0.1)) < 1e-4
               for one in document["deviations"])  # fmt: skip


def test_two_tests_make_no_line(tmp_path: Path) -> None:
    with _record(tmp_path / "records.sqlite", 0.01, tests=2) as store:
        trend = instrument_trend(store, "S 1")
    assert all(one.line is None for one in trend.drifts)
    assert any("too few days" in line for line in trend_lines(trend))


def test_which_instrument_must_be_clear(tmp_path: Path) -> None:
    with _record(tmp_path / "records.sqlite", 0.0, tests=4, serials=("S 1", "S 12")) as store:
        with pytest.raises(BadInput, match=r"'desk': may be S 1, S 12; expected one of them"):
            instrument_trend(store, "desk")
        assert instrument_trend(store, "S 1").jobs == 2  # named whole it is the one
        with pytest.raises(BadInput, match="no instrument in the record"):
            instrument_trend(store, "nothing")

"""Turns as wound, from the record to the acceptance test."""

from __future__ import annotations

import math
from pathlib import Path

from bench.acceptance.context import Wound
from bench.job.as_found import AsFound
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.records.certificate.windings import COUNTED, winding_rows
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.winding_record import wound


def test_a_winding_has_the_turns_with_which_it_was_finished_last(tmp_path: Path) -> None:
    job = read_job(example_job("coastal-receiver"))
    number = job.identity.number
    with Store(tmp_path / "records.sqlite") as store:
        assert wound(store, job) == {}
        for body in (
            {"winding": "primary", "turns": 650.0, "low": 650.0, "high": 650.0, "target": 662},
            {"winding": "primary", "turns": 662.0, "low": 661.0, "high": 663.0, "target": 662},
            {"winding": "heater", "turns": 19.0, "low": None, "high": None, "target": 19},
            {"winding": "of another job file", "turns": 5.0, "low": 5.0, "high": 5.0, "target": 5},
        ):
            store.append(number, Kind.WINDING_DONE, body)
        store.append(number, Kind.WINDING_BEGUN, {"winding": "ht", "target": 1554})
        assert wound(store, job) == {
            "primary": Wound(662.0, 661.0, 663.0),
            "heater": Wound(19.0, -math.inf, math.inf),
        }


def test_a_winding_that_was_gone_on_with_since_has_no_count_until_it_is_finished_anew(tmp_path: Path) -> None:
    job = read_job(example_job("coastal-receiver"))
    number = job.identity.number
    done = {"winding": "heater", "turns": 19.0, "low": 19.0, "high": 19.0, "target": 19}
    with Store(tmp_path / "records.sqlite") as store:
        for kind, body in (
            (Kind.WINDING_BEGUN, {"winding": "heater", "target": 19}),
            (Kind.COUNT, {"winding": "heater", "turns": 5.0, "low": 5.0, "high": 5.0}),
            (Kind.LAYER, {"winding": "heater", "turns": 5.0, "total": 5.0}),
            (Kind.CORRECTION, {"winding": "heater", "turns": 18.0, "low": 18.0, "high": 18.0, "reason": "counted"}),
        ):
            store.append(number, Kind.WINDING_DONE, done)
            assert "heater" in wound(store, job)
            store.append(number, kind, body)
            assert wound(store, job) == {}
            assert [row[COUNTED] for row in winding_rows(job, AsFound(), store.entries(number))] == ["", "", "", ""]
        store.append(number, Kind.WINDING_DONE, done)
        assert wound(store, job)["heater"].turns == 19.0

"""The truth that the control port tells of a unit with faults."""

from __future__ import annotations

import json
from typing import Any

import pytest

from bench.job.model import Job
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.spindle import Spindle
from bench.rehearsal.truth import truth_document
from tests.rehearsal.benches import nominal_bench


def _truth(job: Job, *faults: str) -> dict[str, Any]:
    spindle = Spindle()
    parsed = tuple(parse_fault(text, job) for text in faults)
    document = truth_document(nominal_bench(job, *faults), spindle, CounterBoard(spindle), parsed, 0.0)
    told: dict[str, Any] = json.loads(json.dumps(document))
    return told


def test_every_fault_is_told_with_its_place_and_size(coastal: Job) -> None:
    told = _truth(coastal, "joint_poor:heater", "tap_misplaced", "strands_unequal", "core_steel_degraded=2")
    assert told["faults"] == [
        "joint_poor:heater=20 %", "tap_misplaced:ht.centre=2", "strands_unequal:heater=1", "core_steel_degraded=2",
    ]  # fmt: skip
    turns = [(coil["winding"], coil["turns"]) for coil in told["coils"]]
    assert turns[1:5] == [("ht", 779), ("ht", 775), ("rectifier", 15), ("heater", 19)]
    assert ("heater", 20) in turns
    assert told["core"]["loss_scale"] == pytest.approx(2.0)


def test_ohms_of_a_poor_joint_and_bridging_are_told(coastal: Job) -> None:
    good, bad = _truth(coastal), _truth(coastal, "joint_poor:ht=12 ohm", "laminations_bridged")
    assert good["core"]["bridge"] == 0
    assert bad["core"]["bridge"] > 0
    assert [one["resistance"] for one in bad["contacts"] if one["end"] == "ht/finish"] == [12.0]

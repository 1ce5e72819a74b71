"""The table of layers holds the plan's layers, in millimetres."""

from __future__ import annotations

import csv
import io

import pytest

from bench.design.plan import PlannedWinding, plan_of
from bench.design.sheet import sheet_of
from bench.design.sheet_csv import COLUMNS, sheet_csv
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.wire import Wire
from bench.whole_test import rules_named

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


def _rows(job: Job) -> list[dict[str, str]]:
    text = sheet_csv(sheet_of(plan_of(job), rules_named()))
    assert text.count("\r\n") == text.count("\n")
    return list(csv.DictReader(io.StringIO(text)))


@JOBS
def test_one_row_a_layer_as_planned(job: Job) -> None:
    plan = plan_of(job)
    rows = iter(_rows(job))
    for one in plan.items:
        if not isinstance(one, PlannedWinding):
            row = next(rows)
            assert (row["winding"], row["layer"], row["turns"]) == (one.screen.name, "", "")
            continue
        for layer in one.layers:
            row = next(rows)
            assert (row["winding"], int(row["layer"]), int(row["turns"])) == (one.name, layer.number, layer.turns)
            assert int(row["total"]) == layer.first_turn + layer.turns
            assert row["direction"] == ("right" if layer.direction > 0 else "left")
            for column, value in (("start_mm", layer.start), ("end_mm", layer.end)):
                assert float(row[column]) == pytest.approx(value * 1e3, abs=0.0005)
            assert float(row["pitch_mm"]) == pytest.approx(layer.pitch * 1e3, abs=0.00005)
            last = layer is one.layers[-1]
            after = plan.between_windings if last else plan.between_layers
            assert float(row["insulation_after_mm"]) == pytest.approx(after * 1e3)
            assert row["tap"] == "; ".join(f"{tap.name} at {tap.turn}" for tap in layer.taps)
            assert int(row["strands"]) == one.winding.strands
    assert next(rows, None) is None


@JOBS
def test_turns_add_up_to_the_jobs(job: Job) -> None:
    rows = [row for row in _rows(job) if row["turns"]]
    for winding in job.winding:
        assert sum(int(row["turns"]) for row in rows if row["winding"] == winding.name) == winding.turns


def test_heads_say_the_unit() -> None:
    assert tuple(_rows(OPENER)[0]) == COLUMNS
    assert [one for one in COLUMNS if one.endswith("_mm")] == ["start_mm", "end_mm", "pitch_mm", "insulation_after_mm"]


def test_what_a_person_typed_is_no_formula() -> None:
    odd = RECEIVER.screen[0].model_copy(update={"material": "=HYPERLINK(1),\n2"})
    wire = RECEIVER.winding[0].model_copy(update={"wire": Wire(name="@x", diameter=0.4e-3)})
    job = RECEIVER.model_copy(update={"screen": (odd,), "winding": (wire, *RECEIVER.winding[1:])})
    rows = _rows(job)
    assert rows[0]["wire"] == "'@x"
    assert rows[8]["wire"] == "'=HYPERLINK(1), 2 0.050 mm"

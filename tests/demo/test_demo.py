"""The whole job over real ports: the demo, its record, and how it ends."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from bench.demo.rehearsal_process import RehearsalFailed
from bench.demo.run import DemoPlan, run_demo
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.store import Store
from tests.cli.running import TURNPROOF, turnproof


def _plan(out: Path, *faults: str, seed: int = 0, count: bool = False, tcp: bool = False) -> DemoPlan:
    return DemoPlan(
        job=example_job("coastal-receiver"), out=out, faults=faults, seed=seed, speed=60.0, count=count, tcp=tcp
    )


def test_a_good_unit_is_counted_tested_judged_and_recorded(tmp_path: Path) -> None:
    result = run_demo(_plan(tmp_path / "out", count=True))
    assert result.test.verdict == "accepted"
    assert result.winding is not None
    assert result.winding.progress is not None
    # Lines lost, the port lost and five turns taken back on the way: not one turn is lost or invented.
    assert result.acts == ("two lines are lost", "the counter's cable is out for a moment", "five turns are taken back")
    assert (result.winding.progress.low, result.winding.progress.high) == (662.0, 662.0)
    assert result.truth["spindle_turns"] == pytest.approx(662.0, abs=0.5)
    with Store(result.record) as store:
        assert store.verify("TP-0107") == []
        kinds = {entry.kind for entry in store.entries("TP-0107")}
        assert store.head("TP-0107") == result.head
    assert {Kind.COUNT, Kind.COUNT_EVENT, Kind.READING, Kind.STEP, Kind.RESULT, Kind.WIRE_LOG, Kind.ANSWER} <= kinds
    assert "accepted" in result.certificate.with_suffix(".html").read_text(encoding="utf-8")
    assert result.certificate.read_bytes().startswith(b"%PDF-")
    counted = next(step for step in result.test.steps if step.id == "counts:primary")
    assert (counted.verdict, counted.measured) == ("accepted", 662.0)
    said = json.loads((tmp_path / "out" / "result.json").read_text(encoding="utf-8"))
    assert said["schema"] == 1
    assert {"verdict", "steps", "findings", "next", "not_done"} <= set(said)


# A gap and a supply of another frequency are put in below, where the command's status tells their verdicts.
@pytest.mark.parametrize(
    ("fault", "verdicts"),
    [
        ("turns_wrong:heater=2", {"rejected", "undecided"}),
        ("turns_wrong:primary=1 %", {"rejected", "undecided"}),
        ("turns_shorted", {"rejected", "undecided"}),
        ("winding_reversed:ht.centre", {"rejected", "undecided"}),
        ("screen_closed", {"rejected", "undecided"}),
        ("screen_unearthed", {"rejected"}),
        ("insulation_low:primary,screen", {"rejected"}),
        ("strand_open", {"rejected"}),
        ("joint_poor:heater=100 %", {"rejected"}),
        ("strands_unequal=4", {"rejected"}),
        ("reading_wrong", {"trouble"}),
    ],
)
def test_a_fault_that_a_bench_would_notice_is_never_accepted(tmp_path: Path, fault: str, verdicts: set[str]) -> None:
    assert run_demo(_plan(tmp_path / "out", fault, seed=3)).test.verdict in verdicts


def test_over_sockets_it_is_the_same(tmp_path: Path) -> None:
    result = run_demo(_plan(tmp_path / "out", tcp=True, count=True))
    assert result.test.verdict == "accepted"
    assert result.winding is not None
    assert result.winding.met


def test_the_other_example_job(tmp_path: Path) -> None:
    plan = DemoPlan(job=example_job("gate-opener"), out=tmp_path / "out", seed=1, speed=60.0, count=False)
    assert run_demo(plan).test.verdict == "accepted"


def test_a_fault_that_does_not_exist_is_told_in_one_line(tmp_path: Path) -> None:
    with pytest.raises(RehearsalFailed, match="gremlins") as told:
        run_demo(_plan(tmp_path / "out", "gremlins"))
    assert "\n" not in str(told.value)


def _environment(home: Path) -> dict[str, str]:
    return {"PATH": "/usr/bin:/bin", "TURNPROOF_HOME": str(home), "TMPDIR": str(home.parent)}


def test_the_command_works_without_display_and_input_and_leaves_the_users_record_alone(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    done = subprocess.run(
        [*TURNPROOF, "demo", "--seed", "2", "--out", str(tmp_path / "out")],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, timeout=120, env=_environment(home),
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Verdict of the unit: ACCEPTED" in done.stdout
    assert done.stderr == ""
    assert not (home / "data").exists()
    assert (tmp_path / "out" / "certificate.html").exists()
    assert (tmp_path / "out" / "certificate.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(("fault", "status"), [("core_gap", 1), ("supply_wrong", 4), ("gremlins", 3)])
def test_the_command_ends_by_its_verdict(tmp_path: Path, fault: str, status: int) -> None:
    home = tmp_path / "home"
    done = turnproof("demo", "--headless", "--quiet", "--fault", fault, timeout=120, env=_environment(home))
    assert done.returncode == status, done.stderr
    assert "Traceback" not in done.stderr


def test_a_folder_with_a_record_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "records.sqlite").write_text("somebody's")
    done = turnproof("demo", "--headless", "--out", str(tmp_path), env=_environment(tmp_path / "home"))
    assert done.returncode == 3
    assert (tmp_path / "records.sqlite").read_text() == "somebody's"

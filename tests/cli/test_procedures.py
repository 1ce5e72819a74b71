"""Which procedure a test takes, its plan, and what an earlier test read."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bench.job.profiles import known, profile_folder
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from tests.cli.conftest import Ended
from tests.cli.running import JOB, lines, rehearsal, turnproof, written

Run = Callable[..., Ended]
NUMBER = "TP-0107"
BENCH = """schema = 1
[resistor]
resistance = "1 kohm"
[[load_resistor]]
resistance = "2.2 ohm"
power = "50 W"
[[load_resistor]]
resistance = "2.7 ohm"
power = "25 W"
tolerance = 0.1
[[load_resistor]]
resistance = "8.2 kohm"
power = "50 W"
"""


def _kept(kind: Kind, body: dict[str, Any]) -> None:
    with Store(store_path()) as store:
        store.append(NUMBER, kind, body)


def _plan(run: Run, *more: str) -> dict[str, Any]:
    ended = run("test", JOB, "--plan", "--json", *more)
    assert ended.status == 0, ended.error
    plan: dict[str, Any] = json.loads(ended.out)
    return plan


def test_a_plan_names_each_step_with_leads_hazard_guards_and_minutes(run: Run, tmp_path: Path) -> None:
    ended = run("test", JOB, "--plan", "--bench", written(tmp_path / "bench.toml", BENCH))
    assert ended.status == 0
    for told in (
        "heater.start, 8 (green) to heater.finish, 9 (green)",
        "hazard: mains, up to 594 V between terminals",
        "guarded by: conditions, resistance, insulation, low_volts, polarity",
        "rules out: turns_shorted, screen_closed",
        "Load heater with 2.20 ohm",
        "reads (in brackets: not required): (hipot:primary)",
    ):
        assert told in ended.out
    assert "not on this bench" not in ended.out


def test_a_plan_says_what_this_bench_can_t_do_and_keeps_nothing(run: Run) -> None:
    ended = run("test", JOB, "--plan")
    assert "shorted turn not excluded" in ended.out
    with Store(store_path()) as store:
        assert store.entries(NUMBER) == []


def test_a_plan_is_one_document_with_its_minutes(run: Run) -> None:
    plan = _plan(run)
    assert (plan["schema"], plan["plan"]) == (1, "before varnish")
    assert plan["minutes"] == pytest.approx(sum(one["minutes"] for one in plan["steps"]))
    soak = next(one for one in plan["steps"] if one["step"] == "soak")
    assert {"ask": "wait", "seconds": 1800.0} in [
        {key: ask[key] for key in ("ask", "seconds")} for ask in soak["asks"] if ask["ask"] == "wait"
    ]
    low = next(one for one in plan["steps"] if one["step"] == "low_volts")
    assert 0 < low["hazard_volts"] <= 25


def test_a_plan_for_a_meter_knows_what_that_one_reads(run: Run) -> None:
    by_hand = _plan(run, "--meter", "hand", "--procedure", "after-varnish")
    asks = next(one for one in by_hand["steps"] if one["step"] == "heat_run")["asks"]
    assert any(ask.get("quantity") == "time" for ask in asks)
    by_meter = _plan(run, "--meter", "scpi@/dev/nowhere", "--procedure", "after-varnish")
    asks = next(one for one in by_meter["steps"] if one["step"] == "heat_run")["asks"]
    assert not any(ask.get("quantity") == "time" for ask in asks)


@pytest.mark.parametrize("name", known("procedures"))
def test_every_shipped_procedure_has_a_plan_and_is_found_good(run: Run, name: str) -> None:
    assert _plan(run, "--procedure", name)["steps"]
    ended = run("check", str(profile_folder("procedures") / f"{name}.toml"))
    assert (ended.status, ended.out.strip().endswith("procedure, good")) == (0, True)


def test_the_procedure_that_is_due_goes_by_the_record(run: Run) -> None:
    assert _plan(run)["plan"] == "before varnish"
    _kept(Kind.VARNISH, {"part": "varnish", "value": "Brown 12"})
    assert _plan(run)["plan"] == "after varnish"
    _kept(Kind.RESTACK, {"part": "anew"})
    assert _plan(run)["plan"] == "before varnish"


def test_a_test_without_a_meter_is_a_usage_error(run: Run) -> None:
    ended = run("test", JOB)
    assert ended.status == 3
    assert "--meter" in ended.error


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('schema = 1\nname = "ours"\n[[step]]\nkind = "ratios"\n', "is no kind of step"),
        ('schema = 1\nname = "ours"\n[[step]]\nkind = "leave"\n', "expected it at 'in the equipment'"),
        (
            'schema = 1\nname = "ours"\nrules = "mine"\n[[step]]\nkind = "conditions"\n',
            "rules: 'mine', expected one of",
        ),
        ('schema = 1\nname = "ours"\nstep = []\n', "no step"),
    ],
)
def test_a_bad_procedure_is_one_line_of_the_test_and_of_check(run: Run, tmp_path: Path, text: str, said: str) -> None:
    path = written(tmp_path / "ours.toml", text)
    for ended in (run("check", path), run("test", JOB, "--meter", "hand", "--procedure", path)):
        assert ended.status == 3
        assert said in ended.error
        assert len(ended.error.strip().splitlines()) == 1


def test_an_unknown_procedure_is_told_the_names(run: Run) -> None:
    ended = run("test", JOB, "--meter", "hand", "--procedure", "varnished")
    assert ended.status == 3
    assert "expected one of after-varnish, before-varnish, in-equipment, or a file" in ended.error


def test_a_bench_file_with_load_resistors_is_found_good(run: Run, tmp_path: Path) -> None:
    ended = run("check", written(tmp_path / "bench.toml", BENCH))
    assert ended.out.strip().endswith("bench file, good")
    bad = run("check", written(tmp_path / "bad.toml", BENCH.replace('power = "50 W"', 'power = "50 V"', 1)))
    assert "load_resistor" in bad.error


AFTER = """schema = 1
name = "ours"
stage = "after varnish"
[[step]]
kind = "conditions"
[[step]]
kind = "resistance"
[[step]]
kind = "insulation"
[[step]]
kind = "compare"
"""


def test_what_was_read_before_varnish_stands_beside_what_is_read_after(tmp_path: Path) -> None:
    ours = written(tmp_path / "ours.toml", AFTER)
    earlier = AFTER.replace('"after varnish"', '"before varnish"').replace('[[step]]\nkind = "compare"\n', "")
    first = written(tmp_path / "first.toml", earlier)
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        control.close()
        bench = ("--meter", ports["meter"], "--operator", f"rehearsal@{ports['control']}", "--json")
        before = turnproof("test", JOB, *bench, "--procedure", first)
        assert before.returncode == 0, before.stderr
        _kept(Kind.VARNISH, {"part": "varnish", "value": "Brown 12"})
        after = turnproof("test", JOB, *bench, "--procedure", ours)
    assert after.returncode == 0, after.stderr
    steps = {one["id"]: one for one in lines(after.stdout)[-1]["result"]["steps"]}
    change = steps["change:resistance:primary"]
    assert abs(change["measured"]) < 0.01
    assert change["verdict"] == "accepted"
    assert "before" in change["note"]


def test_the_equipment_is_tested_by_the_hand_of_the_rehearsal() -> None:
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):
        control.close()
        done = turnproof(
            "test", JOB, "--meter", ports["meter"], "--operator", f"rehearsal@{ports['control']}", "--json",
            "--procedure", "in-equipment",
        )  # fmt: skip
    assert done.returncode == 0, done.stderr
    result = lines(done.stdout)[-1]["result"]
    assert result["verdict"] == "accepted"
    assert {"fuse", "earth_bond", "set_insulation", "set_leakage", "leave"} <= {one["id"] for one in result["steps"]}

"""A hand-held meter without a range for amps: the exciting current is planned as volts across the resistor."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.running import JOB, turnproof

BENCH = """schema = 1
[[meter]]
name = "small"
use = "hand"
lacks = ["current_ac"]
[resistor]
resistance = "{ohms}"
power = "10 W"
"""


def _exciting(folder: Path, ohms: str) -> str:
    (folder / "bench.toml").write_text(BENCH.format(ohms=ohms), encoding="utf-8")
    done = turnproof("test", JOB, "--plan", "--meter", "small", "--bench", str(folder / "bench.toml"), "--json")
    assert done.returncode == 0, done.stderr
    steps = {one["step"]: one for one in json.loads(done.stdout)["steps"]}
    return json.dumps(steps["exciting"])


def test_amps_are_read_across_the_resistor(tmp_path: Path) -> None:
    planned = _exciting(tmp_path, "100 ohm")
    assert "resistor.supply" in planned
    assert "Ammeter" not in planned


def test_what_a_meter_can_lack_is_named(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(BENCH.format(ohms="10 ohm").replace("current_ac", "amps"), encoding="utf-8")
    done = turnproof("check", str(tmp_path / "bench.toml"))
    assert done.returncode == 3
    assert "meter.small.lacks" in done.stderr
    assert "expected 'current_ac' or 'frequency'" in done.stderr

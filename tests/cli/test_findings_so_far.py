"""What the readings speak for while a test goes on, as a person and a program see it."""

from __future__ import annotations

import io
import json
import subprocess
from pathlib import Path

from bench.acceptance.suspicion import Suspicion
from bench.cli.test_views import JsonView, TerminalView
from tests.cli.running import JOB, lines, rehearsal
from tests.warm_start import Started

SCREEN = Suspicion("screen_closed", "screen", "closed by 0.01 ohm", 0.93, "screen closes on itself")
LITTLE = Suspicion("core_gap", "", "", 0.01, "a gap")


def test_a_person_gets_one_short_line_for_what_changed() -> None:
    out = io.StringIO()
    TerminalView(out).suspected((SCREEN, LITTLE), ("93% so far: screen closes on itself",))
    assert out.getvalue() == "  -> 93% so far: screen closes on itself\n"


def test_a_program_gets_an_object_with_what_is_suspected() -> None:
    out = io.StringIO()
    JsonView(out).suspected((SCREEN, LITTLE), ("93% so far: screen closes on itself",))
    (told,) = lines(out.getvalue())
    assert told == {
        "schema": 1,
        "findings_so_far": [
            {"fault": "screen_closed", "winding": "screen", "size": "closed by 0.01 ohm", "probability": 0.93}
        ],
    }


def test_a_fixture_sees_the_finding_behind_the_step_that_shows_it_and_feeds_nothing_more(tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text('schema = 1\n[resistor]\nresistance = "1 kohm"\n')
    with rehearsal("--speed", "100", "--seed", "4", "--fault", "turns_shorted:heater=0.03") as (ports, control):
        command = ["test", JOB, "--meter", ports["meter"], "--operator", "json", "--json"]
        test = Started(
            *command, "--bench", str(tmp_path / "bench.toml"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        assert test.stdin is not None
        assert test.stdout is not None
        told = []
        with test:
            for line in test.stdout:
                told.append(json.loads(line))
                if "ask" in told[-1]:
                    test.stdin.write(control.line(told[-1]) + "\n")
                    test.stdin.flush()
    assert set(told[-1]) == {"result"}
    assert test.returncode == 1
    steps = [one.get("step", "") for one in told if one.get("ask") == "excite" and one["volts"] != "0 V"]
    assert not [one for one in steps if one.startswith(("open_circuit", "soak", "load"))]
    judged = next(n for n, one in enumerate(told) if one.get("step_result", {}).get("id") == "core_watts")
    likeliest = told[judged + 1]["findings_so_far"][0]
    assert likeliest["fault"] == "turns_shorted"
    assert likeliest["probability"] > 0.5

"""`turnproof design` says what the new windings should read."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from bench.cli.readings_view import reading_lines
from bench.job.expected_reading import Foreseen, Kind
from bench.job.profiles import example_job
from tests.cli.conftest import Ended

JOB = example_job("coastal-receiver")


def test_it_prints_every_reading_with_its_doubt(run: Callable[..., Ended]) -> None:
    done = run("design", str(JOB))
    assert done.status == 0, done.error
    for words in ("resistance at 20 °C", "open-circuit volts", "direct volts of the rail", "1.168 T peak"):
        assert words in done.out
    assert "ht at 230 V" in done.out
    assert " ± " in done.out


def test_json_is_one_document(run: Callable[..., Ended]) -> None:
    done = run("design", str(JOB), "--json")
    document = json.loads(done.out)
    assert (document["schema"], document["job"]) == (1, "TP-0107")
    assert {"quantity", "of", "at", "value", "u", "unit"} == set(document["readings"][0])


def test_a_job_that_says_too_little_is_one_line_for_each_lack(run: Callable[..., Ended], tmp_path: Path) -> None:
    path = tmp_path / "half.toml"
    path.write_text('schema = 1\n[identity]\nnumber = "X"\n')
    done = run("design", str(path))
    assert done.status == 3
    assert done.error.splitlines()[0] == f"{path}: supply.voltage and supply.frequency: missing"
    assert "Traceback" not in done.error


def test_places_follow_the_doubt() -> None:
    rows = [
        Foreseen(Kind.RESISTANCE, "a", "", 213.18, 6.9, "ohm"),
        Foreseen(Kind.RESISTANCE, "b", "", 0.0717, 0.0023, "ohm"),
        Foreseen(Kind.RATIO, "a", "", 2.3474, 0.0, "1"),
    ]
    assert [line.strip() for line in reading_lines(rows)] == [
        "resistance at 20 °C",
        "a  213 ± 14 ohm",
        "b  71.7 ± 4.6 mohm",
        "turns ratio to the primary",
        "a  2.347",
    ]

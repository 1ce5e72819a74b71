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


def test_the_heading_says_what_the_doubt_on_load_holds(run: Callable[..., Ended]) -> None:
    heading = run("design", str(JOB)).out.splitlines()[2]
    assert heading == (
        "  on load with copper at 60 °C: its ± holds copper 2.8 %, steel, joints, stack and core loss, leakage 10 %, "
        "slope of the diodes 20 %; not the loads, not the mains"
    )


def test_the_rise_is_told_against_the_class_of_the_job(run: Callable[..., Ended]) -> None:
    out = run("design", str(JOB)).out
    assert "class A by IEC 60076-11 allows a rise of 60 K over 25 °C" in out
    document = json.loads(run("design", str(JOB), "--json").out)
    assert document["thermal_class"]["standing"] == "within it"
    assert "leakage 10 %" in document["doubts_on_load"]


def test_an_overloaded_unit_is_told_to_burn(run: Callable[..., Ended], tmp_path: Path) -> None:
    path = tmp_path / "over.toml"
    path.write_text(JOB.read_text().replace('rated_current = "3 A"', 'rated_current = "60 A"'))
    done = run("design", str(path))
    assert done.status == 0, done.error
    assert "  temperature rise on load at 230 V: beyond what the rule reaches (" in done.out
    assert "it is more than the rule reaches: over it" in done.out
    assert any("it burns" in one for one in json.loads(run("design", str(path), "--json").out)["left_out"])


def test_what_keeps_the_readings_on_load_away_is_one_line(run: Callable[..., Ended], tmp_path: Path) -> None:
    path = tmp_path / "fast.toml"
    path.write_text(JOB.read_text().replace('frequency = "50 Hz"\ntolerance', 'frequency = "400 Hz"\ntolerance'))
    out = run("design", str(path)).out
    assert out.count("nothing on load at 207 V, 230 V, 253 V: 400 Hz is outside the loss table") == 1
    assert "its ± holds" not in out


def _targets(tmp_path: Path, width: str = "") -> Path:
    """The gate opener's targets without the turns and wires that answer them."""
    text = example_job("gate-opener").read_text(encoding="utf-8")
    for line in ("turns = 1620\n", 'wire = "0.16 mm"\nrated', "turns = 190\n", 'wire = "26 AWG"\n'):
        text = text.replace(line, "rated" if line.endswith("rated") else "", 1)
    path = tmp_path / "targets.toml"
    path.write_text(text.replace('stack = "25 mm"', f'stack = "25 mm"\n{width}'), encoding="utf-8")
    return path


def test_targets_become_turns_and_wires_and_are_written(run: Callable[..., Ended], tmp_path: Path) -> None:
    path = _targets(tmp_path)
    done = run("design", str(path), "--strands", "1", "--write")
    assert done.status == 0, done.error
    assert "Found among all preferred sizes" in done.out
    assert "One turn more on a secondary" in done.out
    again = run("check", str(path))
    assert "it still needs" not in again.out


def test_what_can_t_fit_says_what_would_have_to_give(run: Callable[..., Ended], tmp_path: Path) -> None:
    shelf = tmp_path / "bench.toml"
    shelf.write_text("schema = 1\n" + "".join(f'[[wire]]\nsize = "{d} mm"\n' for d in (0.1, 0.14, 0.2, 0.315, 0.45)))
    path = _targets(tmp_path, 'window_width = "3 mm"')
    done = run("design", str(path), "--strands", "1", "--bench", str(shelf))
    assert done.status == 2
    assert "Nothing fits." in done.out
    assert "the window: " in done.out
    assert "mm wide in place of" in done.out

"""A meter's session that was kept byte by byte is read again from its log, with the same readings."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from drivers.errors import LinkLost, NoAnswer, OutOfStep, PortMissing, Unreadable
from drivers.link import Link
from drivers.meter import Meter
from drivers.reading import Quantity, Reading
from drivers.wire_log import WireLog

from .thirty.meters import late
from .thirty.scripted_bench import TIMING, Bench, quick_profile


def session(meter: Meter, readings: int) -> list[Reading | str]:
    """What a person would have seen."""
    seen: list[Reading | str] = []
    with meter:
        meter.select(Quantity.VOLTAGE_AC, 6.3)
        for _ in range(readings):
            try:
                seen.append(meter.read())
            except (NoAnswer, OutOfStep, Unreadable) as trouble:
                seen.append(type(trouble).__name__)
    return seen


def shown(seen: list[Reading | str]) -> list[object]:
    return [each if isinstance(each, str) else (each.value, each.state, each.raw, each.span) for each in seen]


@pytest.fixture
def bench(tmp_path: Path):
    made = Bench(tmp_path)
    yield made
    made.close()


@pytest.fixture
def recorded(bench: Bench, tmp_path: Path) -> tuple[Path, list[object]]:
    """A session with a late answer, a repeat, 8-bit garbage, over range, and the loss of the line; its log and what was
    seen."""
    file = tmp_path / "meter.jsonl"
    first = bench.plug()
    scripted = bench.scripted
    with WireLog(file) as log:
        meter = Meter(Link(first.device, bench.profile.line, wire_log=log), bench.profile, "scpi@pty")
        plain = lambda answer: [(0.0, answer)]  # noqa: E731
        scripted.line_faults.extend([plain, plain, plain])
        scripted.line_faults.append(late(TIMING.response_s + 0.15))
        scripted.line_faults.extend([plain, plain, plain, lambda answer: [(0.0, answer + answer)], plain])
        scripted.line_faults.append(lambda answer: [(0.0, b"\xb1" + answer + answer)])
        scripted.line_faults.extend([plain, plain, plain])
        scripted.line_faults.extend([lambda _: [(0.0, b"+9.90000000E+37\n")]] * 2)

        def closes(_: bytes) -> list[tuple[float, bytes]]:
            first.hang_up()
            return [(0.0, b"+6.3")]

        scripted.line_faults.append(closes)

        def replug() -> None:
            first.kill()
            bench.plug()

        with bench.when_ended(first, replug):
            seen = shown(session(meter, 9))
    return file, seen


def test_a_session_with_trouble_is_replayed_with_the_same_readings(recorded: tuple[Path, list[object]]):
    file, seen = recorded
    assert sum(isinstance(each, str) for each in seen) >= 2
    entries = [json.loads(line) for line in file.read_text().splitlines()]
    assert {entry.get("dir") or entry.get("event") for entry in entries} == {"opened", "in", "out", "lost", "closed"}
    assert any("hex" in entry for entry in entries)
    times = [entry["t"] for entry in entries]
    assert times == sorted(times)
    profile = quick_profile()
    again = Meter(Link(f"replay://{file}", profile.line), profile, "scpi@pty")
    assert shown(session(again, 9)) == seen


def test_a_replay_of_another_session_says_where_it_differs(recorded: tuple[Path, list[object]]):
    file, _ = recorded
    profile = quick_profile()
    with (
        Meter(Link(f"replay://{file}", profile.line), profile, "scpi@pty") as meter,
        pytest.raises(
            OutOfStep, match=r"line \d+: b'CONF:RES 10\\n' was sent, the recording has b'CONF:VOLT:AC 10\\n'"
        ),
    ):
        meter.select(Quantity.RESISTANCE, 6.3)


@pytest.mark.parametrize("cut", ["middle", "end", "line", "direction", "bytes"])
def test_a_damaged_log_is_one_clear_line(recorded: tuple[Path, list[object]], cut: str):
    file, _ = recorded
    lines = file.read_text().splitlines(keepends=True)
    match cut:
        case "middle":
            lines[7] = lines[7][:12] + "\n"
        case "end":
            lines[-1] = lines[-1][:9]
        case "line":
            lines.insert(7, "[1, 2]\n")
        case "direction":
            lines.insert(7, '{"t": 1.0, "dir": "sideways", "text": "x"}\n')
        case "bytes":
            lines.insert(7, '{"t": 1.0, "dir": "in", "hex": "0"}\n')
    file.write_text("".join(lines))
    number = len(lines) if cut == "end" else 8
    with pytest.raises(PortMissing, match=f"line {number}: not an entry of a wire log") as trouble:
        Link(f"replay://{file}").open()
    assert "\n" not in str(trouble.value)


def test_a_log_that_ends_in_the_middle_of_a_session_ends_in_silence_and_not_in_a_value(
    recorded: tuple[Path, list[object]],
):
    file, seen = recorded
    lines = file.read_text().splitlines(keepends=True)
    file.write_text("".join(lines[:22]))
    profile = quick_profile()
    again = Meter(Link(f"replay://{file}", profile.line), profile, "scpi@pty")
    played: list[object] = []
    try:
        with again:
            again.select(Quantity.VOLTAGE_AC, 6.3)
            for _ in range(9):
                played += shown([again.read()])
    except (NoAnswer, OutOfStep, Unreadable, LinkLost):
        pass
    assert played == seen[: len(played)]
    assert len(played) < 9

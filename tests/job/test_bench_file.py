"""What a bench file may say of the things on the bench."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from bench.job.bench_file import BenchFile, FootSwitchEntry
from bench.job.file import read_bench_file
from drivers.foot_switch import SwitchLine


def foot_switch(folder: Path, text: str) -> FootSwitchEntry:
    path = folder / "bench.toml"
    path.write_text(f"schema = 1\n[foot_switch]\n{text}", encoding="utf-8")
    entry = read_bench_file(path).foot_switch
    assert entry is not None
    return entry


@pytest.mark.parametrize(
    ("text", "port", "line", "character"),
    [
        ('port = "/dev/ttyUSB0"\n', "/dev/ttyUSB0", "cts", None),
        ('port = "COM5"\nline = "bytes"\n', "COM5", "bytes", None),
        ("", None, "cts", " "),
        ('key = "space"\n', None, "cts", " "),
        ('key = "Enter"\n', None, "cts", "\n"),
        ('key = "tab"\n', None, "cts", "\t"),
        ('key = "b"\n', None, "cts", "b"),
        ('key = "B"\n', None, "cts", "B"),
    ],
)
def test_a_foot_switch_is_on_a_port_or_sends_a_key(
    tmp_path: Path, text: str, port: str | None, line: str, character: str | None
) -> None:
    entry = foot_switch(tmp_path, text)
    assert (entry.port, entry.line, entry.character) == (port, line, character)


def test_a_bench_without_a_foot_switch_has_none(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text("schema = 1\n", encoding="utf-8")
    assert read_bench_file(path).foot_switch is None


def test_the_file_offers_the_lines_that_the_driver_knows() -> None:
    assert set(get_args(FootSwitchEntry.model_fields["line"].annotation)) == {line.value for line in SwitchLine}


def bench_with(folder: Path, text: str) -> BenchFile:
    path = folder / "bench.toml"
    path.write_text(f"schema = 1\n{text}", encoding="utf-8")
    return read_bench_file(path)


CALIBRATED = """
[[meter]]
name = "bench meter"
use = "scpi@/dev/ttyUSB0"
[[meter.calibration]]
quantity = "voltage_ac"
range = "10 V"
from_frequency = "45 Hz"
to_frequency = "20 kHz"
accuracy = "0,05 % + 0.03 % of range"
[[meter.calibration]]
quantity = "resistance"
accuracy = "0.01 % + 0.004 % of range + 2 counts"
"""


def test_a_certificate_s_accuracy_stands_with_its_range_and_band(tmp_path: Path) -> None:
    volts, ohms = bench_with(tmp_path, CALIBRATED).meter[0].calibration
    assert (volts.full_scale, volts.from_frequency, volts.to_frequency) == (10.0, 45.0, 20e3)
    assert (volts.accuracy.of_reading, volts.accuracy.of_range) == pytest.approx((5e-4, 3e-4))
    assert (ohms.full_scale, ohms.accuracy.counts) == (None, 2.0)


def test_a_wattmeter_and_what_a_hand_held_meter_responds_to(tmp_path: Path) -> None:
    text = '[wattmeter]\naccuracy = "2 % + 3 counts"\n[[meter]]\nname = "m"\nuse = "hand"\nresponse = "mean"\n'
    bench = bench_with(tmp_path, text)
    assert bench.wattmeter is not None
    assert bench.wattmeter.accuracy.of_reading == pytest.approx(0.02)
    assert bench.meter[0].response == "mean"

"""In another country: decimal commas, other figures, other time zones, paths with blanks and letters of one's own."""

from __future__ import annotations

import json
import logging
import os
import re
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import click
import pytest

from bench.cli import _formatter
from bench.cli.options import Finite
from bench.job.profiles import example_job
from bench.records.moments import day, minute, second
from tests.cli.running import turnproof
from tests.warm_start import Started

ROOT = Path(__file__).resolve().parents[2]
# What a shell and a file system make hard: a blank, an umlaut, a sign of URLs, of printf, of comments.
FOLDER, FILE = "Prüf stand – 50%? #1", "Küsten Empfänger.toml"
ZONES = ["Pacific/Kiritimati", "America/St_Johns", "Etc/GMT+12"]


@pytest.fixture(scope="session")
def locales(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Locales of other countries, made here: this machine needs to have none of them."""
    if shutil.which("localedef") is None or not Path("/usr/share/i18n/locales/de_DE").exists():
        pytest.skip("no localedef, or no sources of locales: other locales were NOT run")
    folder = tmp_path_factory.mktemp("locales")
    for name, charset in (("de_DE", "UTF-8"), ("ar_EG", "UTF-8"), ("de_DE", "ISO-8859-1")):
        subprocess.run(
            ["localedef", "-i", name, "-f", charset, str(folder / f"{name}.{charset}")], check=True, capture_output=True
        )
    return folder


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of somebody's, worked in, with the user's folders inside it."""
    folder = tmp_path / FOLDER
    folder.mkdir()
    shutil.copy(example_job("coastal-receiver"), folder / FILE)
    monkeypatch.chdir(folder)
    monkeypatch.setenv("TURNPROOF_HOME", str(folder / "zu hause"))
    return folder


_COMMANDS_IN_TURN = """
import sys
from bench.cli import main
for command in ("check", "design", "sheet", "survey"):
    try:
        main([command, "receiver.toml"])
    except SystemExit as end:
        print("status", end.code, flush=True)
"""


def test_the_same_is_said_in_any_locale(locales: Path, tmp_path: Path) -> None:
    """Cold, since the locale is taken up when the interpreter starts; a sign that it lacks becomes a question mark."""
    shutil.copy(example_job("coastal-receiver"), tmp_path / "receiver.toml")

    def said(locale: str) -> bytes:
        env = {**os.environ, "LOCPATH": str(locales), "LC_ALL": locale, "PYTHONPATH": str(ROOT)}
        command = [sys.executable, "-c", _COMMANDS_IN_TURN]
        return subprocess.run(command, cwd=tmp_path, capture_output=True, env=env, check=True).stdout

    usual = said("C.UTF-8").decode()
    assert usual.count("status 0") == 4
    for name in ("de_DE.UTF-8", "ar_EG.UTF-8", "de_DE.ISO-8859-1"):
        assert said(name) == usual.encode(name.partition(".")[2], "replace"), name


def test_a_path_with_anything_in_it_is_a_path(bench: Path) -> None:
    """Files are written where they were asked for, and the record where the user's folder is."""
    assert turnproof("sheet", FILE, "--html", "Blatt ü.html", "--section", "Fenster ü.svg").returncode == 0
    assert turnproof("program", FILE, "--winder", "generic", "--out", "Prög ramm.ngc").returncode == 0
    assert turnproof("block", FILE, "--drawing", "Klotz ü.svg", "--spindle", "8,5 mm").returncode == 0
    wound = turnproof("wind", FILE, "primary", "--counter", "hand", "--no-checks", typed="100,5\nq\n")
    assert (wound.returncode, "100.5 of 662" in wound.stderr) == (2, True), wound.stderr
    assert turnproof("survey", FILE, "--note", "Öl an der Spule").returncode == 0
    verified = turnproof("record", "verify", FILE)
    assert (verified.returncode, "chain whole" in verified.stdout) == (0, True)
    there = sorted(path.name for path in bench.iterdir())
    assert there == sorted(["Blatt ü.html", "Fenster ü.svg", "Prög ramm.ngc", "Klotz ü.svg", FILE, "zu hause"])
    assert (bench / "zu hause" / "data" / "records.sqlite").is_file()
    assert [path.name for path in bench.parent.iterdir() if path.name not in (FOLDER, "home")] == []


class TestDecimalCommas:
    @pytest.mark.parametrize(
        ("typed", "value"), [("2,5", 2.5), ("2.5", 2.5), (",5", 0.5), (" 3 ", 3.0), ("0,250", 0.25), ("1e2", 100.0)]
    )
    def test_a_number_of_an_option(self, typed: str, value: float) -> None:
        assert Finite(0, 1000).convert(typed, None, None) == value

    @pytest.mark.parametrize("typed", ["1,500", "1.000,5", "nan", "inf", "1_0", "two", "", "2,5,1", "١٢"])
    def test_what_is_no_number_or_two(self, typed: str) -> None:
        with pytest.raises(click.BadParameter, match="expected"):
            Finite(0, 10_000).convert(typed, None, None)

    def test_a_whole_test_by_hand_is_judged_the_same(self, bench: Path) -> None:
        """Typed by somebody whose keyboard has a comma: the readings of one who types points."""
        readings = ("volts:heater=6,62 V@230,4 V", "ohms:heater=0,0521 ohm", "amps=95,5 mA@230 V", "watts=4,6 W@230 V")
        said = []
        for one in (readings, tuple(reading.replace(",", ".") for reading in readings)):
            options = [word for reading in one for word in ("--reading", reading)]
            done = turnproof("diagnose", FILE, "--alone", "--json", *options)
            assert done.returncode in (0, 1, 2), done.stderr
            said.append(json.loads(done.stdout)["findings"])
        assert said[0] == said[1]
        assert said[0]

    @pytest.mark.parametrize("size", ["turns_wrong:heater=1,5 %", "joint_poor:heater=0,05 ohm", "core_gap=0,05 mm"])
    def test_a_faults_size(self, size: str) -> None:
        from bench.job.file import read_job
        from bench.rehearsal.faults.reading import parse_fault

        job = read_job(example_job("coastal-receiver"))
        assert parse_fault(size, job) == parse_fault(size.replace(",", "."), job)


def _zoned(zone: str) -> dict[str, str]:
    return {**os.environ, "TZ": zone}


class TestTimeZones:
    def test_what_is_shown_of_a_moment_says_that_it_is_utc(self) -> None:
        at = "2026-11-26T23:41:07.123456+00:00"
        assert (day(at), minute(at)) == ("2026-11-26 UTC", "2026-11-26 23:41 UTC")
        assert second(at) == "2026-11-26 23:41:07 UTC"

    @pytest.mark.parametrize("zone", ZONES)
    def test_the_record_is_utc_and_says_so(self, zone: str, bench: Path) -> None:
        before = datetime.now(UTC)
        assert turnproof("survey", FILE, "--note", "as it came", env=_zoned(zone)).returncode == 0
        shown = turnproof("record", "TP-0107", env=_zoned(zone)).stdout
        after = datetime.now(UTC)
        moments = re.findall(r"^ *\d+  (\d{4}-\d\d-\d\d \d\d:\d\d:\d\d) UTC  ", shown, re.M)
        assert len(moments) == len(shown.splitlines()) - 1  # the last line is the head
        for moment in moments:
            assert before.replace(microsecond=0) <= datetime.fromisoformat(f"{moment}+00:00") <= after

    @pytest.mark.parametrize("zone", ZONES)
    def test_drawing_and_program_bear_the_day_of_utc(self, zone: str, bench: Path) -> None:
        days = [f"{datetime.now(UTC):%Y-%m-%d} UTC"]
        assert turnproof("program", FILE, "--winder", "generic", "--out", "p.ngc", env=_zoned(zone)).returncode == 0
        assert turnproof("block", FILE, "--drawing", "b.svg", env=_zoned(zone)).returncode == 0
        days.append(f"{datetime.now(UTC):%Y-%m-%d} UTC")  # should midnight have passed
        for file in ("p.ngc", "b.svg"):
            assert any(one in (bench / file).read_text(encoding="utf-8") for one in days)

    def test_the_log_is_utc_too(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("TZ", "Pacific/Kiritimati")
        time.tzset()
        try:
            line = _formatter().format(logging.makeLogRecord({"created": 0.0, "msecs": 500.0, "msg": "lost"}))
        finally:
            monkeypatch.undo()
            time.tzset()
        assert line.startswith("1970-01-01T00:00:00.500Z ")

    def test_clocks_go_back_in_the_middle_of_a_winding(self, bench: Path) -> None:
        """A zone whose summer time ends between two layers: no moment of the record goes back."""
        for lead in (4, 20, 60):  # seconds; how long the first layer takes hangs on the machine
            turn = datetime.fromtimestamp(int(time.time()) + lead, UTC)
            moments = _wound_across(turn, bench)
            if moments[0] < turn:
                break
        assert moments == sorted(moments)
        assert moments[0] < turn < moments[-1]
        assert (moments[-1] - moments[0]).total_seconds() < 90
        assert "chain whole" in turnproof("record", "verify", FILE).stdout


def _wound_across(turn: datetime, bench: Path) -> list[datetime]:
    """Two layers, one before summer time ends and one after; when each entry of the record was made."""
    # Summer time, an hour ahead, since the first day of the year, until `turn`, which is told in summer time.
    until = datetime.fromtimestamp(turn.timestamp() + 3600, UTC)
    zone = f"WIN0SUM,J1/0,{_julian(until)}/{until:%H:%M:%S}"
    assert _changes(zone, turn.timestamp() - 1, turn.timestamp() + 1)
    shutil.rmtree(bench / "zu hause", ignore_errors=True)
    pipe = subprocess.PIPE
    options = ("wind", FILE, "primary", "--counter", "hand", "--no-checks")
    with Started(*options, stdin=pipe, stdout=pipe, stderr=subprocess.STDOUT, env=_zoned(zone)) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write("100,5\n")
        process.stdin.flush()
        said = ""
        while "100.5 turns in 1 layer" not in said:
            said += process.stdout.readline()
            assert process.poll() is None, said
        while time.time() < turn.timestamp() + 0.2:
            time.sleep(0.05)
        process.communicate("88\nq\n", 60)
    entries = json.loads(turnproof("record", "TP-0107", "--json").stdout)["entries"]
    return [datetime.fromisoformat(entry["at"]) for entry in entries]


def _julian(moment: datetime) -> str:
    """Day of the year as POSIX has it in Jn: 29 February is never counted."""
    number = moment.timetuple().tm_yday
    leap = moment.year % 4 == 0 and (moment.year % 100 != 0 or moment.year % 400 == 0)
    return f"J{number - (leap and number > 60)}"


def _changes(zone: str, before: float, after: float) -> bool:
    """Whether the C library sees the change where it was meant to be."""
    kept = os.environ.get("TZ")
    try:
        os.environ["TZ"] = zone
        time.tzset()
        return time.localtime(before).tm_isdst == 1 and time.localtime(after).tm_isdst == 0
    finally:
        os.environ.pop("TZ")
        if kept is not None:
            os.environ["TZ"] = kept
        time.tzset()

"""The page about setting up a meter does not drift: its commands are typed, its files are read."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from bench.job.bench_file import Calibration, MeterEntry
from bench.job.file import read_bench_file
from drivers.errors import ProfileError
from drivers.harmless import harmless
from drivers.meter_profile_tables import meter_profile_from
from drivers.profile_files import load_meter_profile, meter_profile_table, profile_names
from drivers.reading import Quantity
from tests.cli.running import rehearsal
from tests.drivers.thirty.scripted_bench import Bench

from . import meter_troubles
from .meters_page import MET, PAGE, TEXT, Terminal, blocks, named_in, says, table, table_with


def test_every_command_says_what_the_page_shows(tmp_path: Path) -> None:
    with rehearsal("--speed", "20") as (ports, control), rehearsal("--tcp", "--speed", "20") as (network, _):
        named = {
            "/dev/ttyUSB0": ports["meter"].partition("@")[2],
            "socket://192.0.2.7:5025": network["meter"].partition("@")[2],
        }
        terminal = Terminal(tmp_path, named, control)
        ran = [one for block in blocks() for one in terminal.follow(block)]
    wrong = [
        f"$ {command}\n{said[:2000]}--- the page:\n{shown}" for command, shown, said in ran if not says(shown, said)
    ]
    assert not wrong, "\n" + "\n".join(wrong)
    assert len(ran) == len(re.findall(r"^\$ ", TEXT, re.M))

    written = load_meter_profile(str(tmp_path / "mine.toml"))
    volts = written.functions[Quantity.VOLTAGE_AC]
    assert (volts.ranges[0].full_scale, volts.ranges[0].accuracy.percent_of_reading) == (1.0, 0.2)
    meters = {one.name: one for one in read_bench_file(tmp_path / "bench.toml").meter}
    assert list(meters) == ["desk", "second", "yellow"]

    log = [json.loads(line) for line in (tmp_path / MET).read_text().splitlines()]
    asked = {entry["text"].strip() for entry in log if entry.get("dir") == "out"} - {""}
    assert all(map(harmless, asked)), asked


def test_what_an_unknown_meter_is_asked_and_never_asked() -> None:
    asks, _, never = TEXT.partition("**What it asks**")[2].partition("**What it never asks**")
    asked, refused = (set(re.findall(r"`([A-Z*][^`]*)`", part.partition("\n\n")[0])) for part in (asks, never))
    assert len(asked) > 8
    assert all(map(harmless, asked)), asked
    assert len(refused) > 6
    assert not any(map(harmless, refused)), refused
    source = "".join(
        (PAGE.parents[2] / "drivers" / name).read_text() for name in ("finding_dialect.py", "finding_frame.py")
    )
    assert [each for each in asked if f'"{each}"' not in source and each != "ID?"] == []


def test_the_dialects_are_those_that_came_with_the_program() -> None:
    assert {row[0].strip(" `"): row[1] for row in table("profile")} == {
        name: load_meter_profile(name).about for name in profile_names("meters")
    }
    assert f"{['seven', 'eight', 'nine', 'ten'][len(profile_names('meters')) - 7]} dialects" in TEXT.lower()


def test_every_key_of_a_profile_is_explained() -> None:
    known: set[str] = set()
    for name in profile_names("meters"):
        known |= _keys(meter_profile_table(name))
    odd: dict[str, object] = {"zzzz": 1}
    listed = {key: odd for key in ("interface", "timing", "identity", "remote", "errors", "completion")}
    listed["reading"] = {**odd, "separator": ";"}
    function = {**odd, "ranges": [odd], "bands": [odd]}
    with pytest.raises(ProfileError) as told:
        meter_profile_from({**odd, **listed, "functions": {"voltage_ac": function, "resistance": function}}, "odd")
    for keys in re.findall(r"zzzz: unknown key, expected one of (.*)", str(told.value)):
        known |= set(keys.split(", "))
    known -= {*Quantity, "functions", *listed}
    known = {re.sub(r"^(full_scale|resolution|noise)_(A|ohm|Hz)$", r"\1_V", key) for key in known}
    explained = named_in([row for row in table_with("key", "terminator_sent") if not row[0].startswith("**")])
    assert explained == known


def _keys(part: object) -> set[str]:
    if isinstance(part, list):
        return {key for each in part for key in _keys(each)}
    if not isinstance(part, dict):
        return set()
    return set(part) | {key for name, each in part.items() if name != "units" for key in _keys(each)}


def test_every_key_of_a_meter_in_the_bench_file_is_explained() -> None:
    assert named_in(table_with("key", "calibration_due")) == {*MeterEntry.model_fields, *Calibration.model_fields}


def test_links_lead_somewhere() -> None:
    anchors = {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in re.findall(r"^## (.*)$", TEXT, re.M)}
    targets = re.findall(r"\]\(([^)]+)\)", TEXT)
    assert targets
    for target in targets:
        assert target.removeprefix("#") in anchors if target.startswith("#") else (PAGE.parent / target).is_file()


def test_what_must_be_said_is_said() -> None:
    prose = " ".join(TEXT.split())
    said = (
        "**Untested on hardware.**",
        "take the meter's leads off everything",
        "never in the one for amps",
        "not the mains",
        "a winding kicks",
        "LED lamps are no limiter",
        "volts to zero, then switch the meter off and on",
    )
    assert [words for words in said if words not in prose] == []
    assert "complies" not in prose


def _messages() -> list[str]:
    return [row[0].strip("`") for row in table("message") if not row[0].startswith("**")]


def test_the_table_of_messages_has_those_that_are_brought_about() -> None:
    assert sorted(_messages()) == sorted(meter_troubles.AT)


@pytest.mark.parametrize("message", _messages())
def test_a_message_of_the_table_is_what_is_said(message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Bench(tmp_path)
    try:
        said = meter_troubles.AT[message](bench, monkeypatch)
    finally:
        bench.close()
    assert message in said

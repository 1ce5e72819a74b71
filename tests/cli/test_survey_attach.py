"""`turnproof survey JOB --note`, `--photo`: what belongs to a unit as found and is no reading."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ended
from tests.cli.surveying import record_of

Run = Callable[..., Ended]

WINDINGS = "primary\np\n117 V\nht\n\n500 V\nheater\n\n6.3 V\n\n\n"
INSULATION = "500 V\n85 Mohm\n120 Mohm\n> 2000 Mohm\n"
RESISTANCE = "21 degC\n3.42 ohm\n176.1 ohm\n0.049 ohm\n"
VOLTS = "\n50 Hz\n97.75 V\n449.9 V\n97.80 V\n5.575 V\n"
CURVE = "20 V\n46 mA\n\n40.1 V\n64.5 mA\n\n60.2 V\n80 mA\n2.78 W\n\n"
ALL = WINDINGS + INSULATION + RESISTANCE + VOLTS + CURVE


def test_notes_and_photographs_are_kept_and_checked(run: Run, gate: str, tmp_path: Path, home: Path) -> None:
    photo = tmp_path / "leads.jpg"
    photo.write_bytes(b"\xff\xd8 leads")
    ended = run("survey", gate, "--note", "paper between layers", "--photo", str(photo), "--of", "supply24")
    assert (ended.status, ended.error) == (0, "")
    shown = run("record", gate)
    assert "winding supply24, text paper between layers" in shown.out
    assert "leads.jpg: kept of supply24 as entry" in ended.out
    assert "name picture 1.jpg" in shown.out
    assert "leads.jpg" not in run("record", gate, "--json").out
    assert "1 attached unaltered" in run("record", "verify", gate).out
    (kept,) = (home / "data" / "attachments").iterdir()
    kept.chmod(0o600)
    kept.write_bytes(b"\xff\xd8 other")
    verified = run("record", "verify", gate)
    assert verified.status == 1
    assert "picture 1.jpg" in verified.error
    assert "was altered" in verified.error


def test_a_photograph_is_marked_for_the_certificate_at_once_or_later(run: Run, gate: str, tmp_path: Path) -> None:
    photo = tmp_path / "IMG_20260304_101112.jpg"
    photo.write_bytes(b"\xff\xd8 leads")
    run("survey", gate, "--photo", str(photo), "--on-certificate", "--caption", "lead  dress", "--of", "supply24")
    run("survey", gate, "--photo", str(photo))
    listed = run("record", "picture", gate).out.splitlines()
    assert len(listed) == 2
    assert "picture 1.jpg, lead dress; of supply24; kept 20" in listed[0]
    assert [line.rpartition("; ")[2] for line in listed] == ["on the certificate", "not on the certificate"]
    assert "20260304" not in run("record", gate, "--json").out
    first, second = (one["seq"] for one in record_of(run, gate) if one["kind"] == "photo")
    before = len(record_of(run, gate))
    assert "not on the certificate" in run("record", "picture", gate, str(first), "--not-on-certificate").out
    marked = run("record", "picture", gate, str(second), "--on-certificate", "--caption", "screen, open")
    assert "screen, open" in marked.out
    entries = record_of(run, gate)
    assert [one["body"] for one in entries[before:]] == [
        {"of": first, "on_certificate": False},
        {"of": second, "on_certificate": True, "caption": "screen, open"},
    ]
    # The same once more says nothing new.
    assert run("record", "picture", gate, str(second), "--on-certificate").status == 0
    assert len(record_of(run, gate)) == len(entries)
    kept = json.loads(run("record", "picture", gate, "--json").out)["pictures"]
    assert [(one["entry"], one["on_certificate"]) for one in kept] == [(first, False), (second, True)]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (["record", "picture", "{job}", "99", "--on-certificate"], "entry 99 is no picture, expected "),
        (["record", "picture", "{job}", "--on-certificate"], "ENTRY: missing"),
        (["record", "picture", "{job}", "1", "--caption", " "], "--caption: 0 characters, expected from 1 to 200"),
        (["survey", "{job}", "--on-certificate"], "--caption, --on-certificate: expected only with --photo"),
        (["restack", "{job}", "--came-out", "90", "--on-certificate"], "--on-certificate: expected only with --photo"),
    ],
)
def test_a_mark_on_no_picture_is_told_in_a_line(run: Run, gate: str, given: list[str], told: str) -> None:
    run("survey", gate, "--note", "first")
    ended = run(*(one.format(job=gate) for one in given))
    assert (ended.status, told in ended.error) == (3, True), ended.error
    assert len(ended.error.strip().splitlines()) == 1


def test_a_photograph_on_a_full_disk_is_one_line_and_no_entry(
    run: Run, gate: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from bench.records import attachments

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    run("survey", gate, "--note", "first")
    before = record_of(run, gate)
    monkeypatch.setattr(attachments.os, "fsync", full)
    (tmp_path / "leads.jpg").write_bytes(b"x")
    ended = run("survey", gate, "--photo", str(tmp_path / "leads.jpg"))
    assert ended.status == 4
    assert "not kept: No space left on device" in ended.error
    assert len(ended.error.splitlines()) == 1
    assert record_of(run, gate) == before

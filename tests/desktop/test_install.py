"""`turnproof install`: it shows before it writes, and what is not ours stays as it is."""

from __future__ import annotations

import os
import re
import shutil
import stat
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from bench.desktop.files import menu_files, rule_file
from bench.desktop.placing import State, signed
from bench.desktop.rule import RULE_NAME, UDEV_RULE
from tests.cli.running import turnproof


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's data folder; whoever runs the tests is taken for a user, root too."""
    folder = tmp_path / "data ä"
    monkeypatch.setenv("XDG_DATA_HOME", str(folder))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    return folder


def install(*options: str) -> subprocess.CompletedProcess[str]:
    """In a process of its own, which takes itself for a user's whoever runs it."""
    code = "import os, sys; os.geteuid = lambda: 1000; from bench.cli import main; main(sys.argv[1:])"
    return subprocess.run(
        [sys.executable, "-c", code, "install", *options], capture_output=True, text=True, encoding="utf-8", check=False
    )


def everything_under(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


ENTRY, ICON = "applications/turnproof.desktop", "icons/hicolor/scalable/apps/turnproof.svg"


def test_by_itself_it_shows_all_and_writes_nothing(data: Path) -> None:
    done = install()
    assert (done.returncode, done.stderr) == (0, "")
    for file in (*menu_files(), rule_file()):
        assert f"{file.path}\n  {file.what}; {file.state.value}\n" in done.stdout
        assert all(line in done.stdout for line in file.text.splitlines())
    assert "Nothing was written." in done.stdout
    assert f"| sudo tee /etc/udev/rules.d/{RULE_NAME} >/dev/null && sudo udevadm control --reload" in done.stdout
    assert not data.exists()


def test_it_writes_once_says_so_and_takes_it_away_again(data: Path) -> None:
    assert install("--write").returncode == 0
    assert everything_under(data) == [ENTRY, ICON]
    assert stat.S_IMODE((data / ENTRY).stat().st_mode) == 0o644
    again = install("--write")
    assert again.stdout.count(State.SAME.value) == 2
    gone = install("--remove")
    assert (gone.returncode, gone.stdout.count("taken away")) == (0, 2)
    assert everything_under(data) == []
    assert install("--remove").returncode == 0


def test_what_an_older_version_wrote_is_brought_up_to_date(data: Path) -> None:
    (data / "applications").mkdir(parents=True)
    (data / ENTRY).write_text(signed("[Desktop Entry]\nName=Turnproof 0\n"), encoding="utf-8")
    assert "brought up to date" in install("--write").stdout
    assert "Name=Turnproof\n" in (data / ENTRY).read_text(encoding="utf-8")


@pytest.mark.parametrize("option", ["--write", "--remove"])
@pytest.mark.parametrize(
    "theirs", ["[Desktop Entry]\nName=Another\n", "", signed("[Desktop Entry]\n") + "Name=My own\n"]
)
def test_what_is_not_ours_is_left_and_the_rest_is_done(option: str, theirs: str, data: Path) -> None:
    (data / "applications").mkdir(parents=True)
    (data / ENTRY).write_text(theirs, encoding="utf-8")
    done = install(option)
    assert done.returncode == 3
    assert f"{data / ENTRY}: there, and not as turnproof wrote it" in done.stderr
    assert (data / ENTRY).read_text(encoding="utf-8") == theirs
    assert (data / ICON).exists() is (option == "--write")


def test_an_entry_that_somebody_edited_is_theirs(data: Path) -> None:
    install("--write")
    edited = (data / ENTRY).read_text(encoding="utf-8").replace("Terminal=false", "Terminal=true")
    (data / ENTRY).write_text(edited, encoding="utf-8")
    assert install("--write").returncode == 3
    assert (data / ENTRY).read_text(encoding="utf-8") == edited


def test_a_link_is_not_followed(data: Path, tmp_path: Path) -> None:
    theirs = tmp_path / "theirs"
    theirs.write_text("kept", encoding="utf-8")
    (data / "applications").mkdir(parents=True)
    (data / ENTRY).symlink_to(theirs)
    assert install("--write").returncode == 3
    assert theirs.read_text(encoding="utf-8") == "kept"


def test_the_rule_is_printed_for_a_pipe_or_written_where_it_is_told(data: Path, tmp_path: Path) -> None:
    printed = install("--rule")
    assert printed.stdout == rule_file().text
    folder = tmp_path / "rules.d"
    done = install("--write", "--rules-folder", str(folder))
    assert (folder / RULE_NAME).read_text(encoding="utf-8") == printed.stdout
    assert "udevadm control --reload && udevadm trigger --subsystem-match=tty" in done.stdout
    assert not data.exists()
    assert install("--remove", "--rules-folder", str(folder)).returncode == 0
    assert not (folder / RULE_NAME).exists()


def test_one_thing_at_a_time_and_one_line_where_it_can_not_be_written(data: Path) -> None:
    both = turnproof("install", "--write", "--remove")
    assert (both.returncode, len(both.stderr.splitlines())) == (3, 1)
    data.write_text("a file where a folder should be", encoding="utf-8")
    done = install("--write")
    assert done.returncode == 3
    assert len(done.stderr.splitlines()) == 2  # one for the entry, one for the icon
    assert "Traceback" not in done.stderr


# One assignment or match of udev(7): KEY{attribute} operator "value".
_PAIR = re.compile(r'([A-Z]+)(?:\{[A-Z_]+\})?(==|!=|=|\+=|-=|:=)"[^"]*"')
_MATCHED = {"ACTION", "SUBSYSTEM", "SUBSYSTEMS", "KERNEL"}


def test_the_rule_is_one_of_udev_7_and_does_no_more_than_it_says() -> None:
    lines = [line for line in UDEV_RULE.splitlines() if line and not line.startswith("# ")]
    rules = [line.removeprefix("#") for line in lines if line != "#"]
    assert len(rules) == 3
    for rule in rules:
        pairs = [_PAIR.fullmatch(pair.strip()) for pair in rule.split(",")]
        assert all(pairs), rule
        matches = {pair[1] for pair in pairs if pair is not None and pair[2] in ("==", "!=")}
        assert matches == _MATCHED
    assert [rule.rpartition(", ")[2] for rule in rules[:2]] == ['TAG+="uaccess"'] * 2
    # Behind 73-seat-late.rules, where systemd gives access to the seat, the tag would come too late.
    assert RULE_NAME < "73-seat-late.rules"


def test_udevs_own_reader_takes_the_rule(tmp_path: Path) -> None:
    if (
        shutil.which("udevadm") is None
        or subprocess.run(["udevadm", "verify", "--help"], capture_output=True).returncode
    ):
        pytest.skip("no udevadm that can verify (systemd 254 or newer): the rule was NOT read by udev")
    file = tmp_path / RULE_NAME
    file.write_text(rule_file().text, encoding="utf-8")
    done = subprocess.run(["udevadm", "verify", str(file)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_icon_is_a_drawing_of_its_own_that_fetches_nothing() -> None:
    icon = next(file for file in menu_files() if file.path.suffix == ".svg")
    root = ET.fromstring(icon.text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.get("viewBox") == "0 0 128 128"
    assert not re.search(r"href|url\(|<image|<script|@import", icon.text)

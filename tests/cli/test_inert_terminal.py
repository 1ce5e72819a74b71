"""What others typed does nothing on a terminal: not in a job file, not in a record, not in an error."""

from __future__ import annotations

import io
import os
import pty
import re
import select
import subprocess
from pathlib import Path

import pytest

from bench.cli.winding_panel import _LEAVE
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from bench.sitting.inert_text import InertOut, Own, inert_text
from tests.cli.running import JOB
from tests.warm_start import Started

NUMBER = "TP-0107"
# Clipboard, title, clear, cursor home, C1 control sequence, hyperlink, bell, carriage return, direction.
CODES = "\x1b]52;c;AAAA\x07\x1b]0;t\x07\x1b[2J\x1b[H\x9b31m\x1b]8;;http://x\x1b\\\x07\rACCEPTED\u202e\u2066"
_OBEYED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def on_a_terminal(*arguments: str) -> str:
    """All that comes on a terminal's screen."""
    handle, theirs = pty.openpty()
    process = Started(*arguments, stdin=subprocess.DEVNULL, stdout=theirs, stderr=theirs,
                      env={**os.environ, "TERM": "xterm", "COLUMNS": "200"})  # fmt: skip
    os.close(theirs)
    seen = b""
    try:
        while select.select([handle], [], [], 30)[0]:
            try:
                data = os.read(handle, 65536)
            except OSError:
                break
            if not data:
                break
            seen += data
        process.wait(20)
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()
        os.close(handle)
    return seen.decode("utf-8", "replace").replace("\r\n", "\n")


@pytest.fixture
def hostile(home: Path, tmp_path: Path) -> str:
    """A job file whose name tells a terminal what to do, and a record that does."""
    codes = "".join(f"\\u{ord(one):04x}" for one in CODES)
    text = Path(JOB).read_text(encoding="utf-8").replace('name = "Mains', f'name = "{codes}Mains', 1)
    text = text.replace('owner = "', f'owner = "{codes}', 1)
    path = tmp_path / "hostile.toml"
    path.write_text(text, encoding="utf-8")
    with Store(store_path()) as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": f"{CODES}.toml", "text": text})
        store.append(NUMBER, Kind.AS_FOUND, {"part": "resistance", "winding": CODES, "resistance": CODES})
        store.append(NUMBER, Kind.NOTE, {"text": CODES})
        store.append(NUMBER, Kind.RESTACK, {"part": "left_over", "value": CODES})
        store.append(NUMBER, Kind.PHOTO, {"name": CODES, "sha256": "0" * 64, "bytes": 1, "file": "0" * 64})
        store.append(NUMBER, Kind.WINDING_GO, {"winding": CODES, "by": CODES, "go": 1, "target": 5})
    return str(path)


@pytest.mark.parametrize(
    "arguments",
    [
        ["record", NUMBER], ["record", NUMBER, "--all"], ["record", "verify"], ["survey", "{job}"],
        ["restack", "{job}"], ["check", "{job}"], ["sheet", "{job}"], ["design", "{job}"],
        ["record", "nobody" + CODES[:6]], ["test", "{job}", "--plan"], ["record", "import", "b\x1b[2J.zip"],
        ["diagnose", "{job}"],
    ],
)  # fmt: skip
def test_no_command_lets_a_code_through_to_the_terminal(hostile: str, arguments: list[str]) -> None:
    seen = on_a_terminal(*(hostile if one == "{job}" else one for one in arguments))
    assert seen.strip()
    assert "Traceback" not in seen
    assert "turnproof failed" not in seen
    found = _OBEYED.search(seen)
    assert found is None, repr(seen[max(0, found.start() - 40) : found.end() + 40])
    assert "\r" not in seen


def test_what_goes_to_a_file_is_as_it_was(hostile: str) -> None:
    done = subprocess.PIPE
    with Started("record", NUMBER, "--json", stdout=done, stderr=done) as process:
        said, _ = process.communicate(timeout=60)
    assert "\\u001b]52;c;AAAA" in said


def test_our_own_codes_pass_and_what_is_put_between_them_does_not() -> None:
    terminal = io.StringIO()
    out = InertOut(terminal)
    out.write(Own(_LEAVE))
    out.write(f"{_LEAVE}\n\t")
    out.write(Own("\r\x1b[K") + inert_text("a\x1b[2J\rb") + "\n")
    assert terminal.getvalue() == f"{_LEAVE}\ufffd[?25h\ufffd[?1049l\n\t\r\x1b[Ka\ufffd[2J\ufffdb\n"


@pytest.mark.parametrize("text", ["Ω ± 5 µ – „é“ \U0001f600 \n\t", "", "plain"])
def test_what_a_person_writes_stays_as_it_is(text: str) -> None:
    assert inert_text(text) == text

"""The page about setting up a meter: its blocks, and a terminal in which its commands are typed."""

from __future__ import annotations

import functools
import io
import logging
import math
import re
import shlex
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import pytest

from bench.cli import main
from bench.operators.rehearsal import ControlPort
from drivers.finding_frame import Patience
from drivers.port_access import Holder
from tests.cli.running import JOB

PAGE = Path(__file__).resolve().parents[2] / "bench" / "guide" / "meters.md"
TEXT = PAGE.read_text(encoding="utf-8")
MET = "met.jsonl"
"""What crossed the line while the meter of the page was met."""

_BLOCK = re.compile(r"(?:^<!-- (\w+):? ?(.*?) ?-->\n)?^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_READING = re.compile(r"\d+(?:\.\d+)?(?= [nµmkM]?(?:ohm|V|A|Hz)\b)")
_WHEN = re.compile(r"\d\d:\d\d:\d\d|(?<=\"t\": )[\d.e-]+")
_NOISE = 0.1
_REPEATED = "…"


@dataclass(frozen=True)
class Block:
    """kind: text, toml. word, rest: of the comment before it, which says what a person does there."""

    word: str
    rest: str
    kind: str
    body: str

    @property
    def typed(self) -> list[tuple[str, str]]:
        """Each command with what it is shown to say."""
        return [(command, said) for command, said in re.findall(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", self.body, re.M)]


def blocks() -> list[Block]:
    return [Block(*found) for found in _BLOCK.findall(TEXT)]


def table(first_heading: str) -> list[list[str]]:
    """The rows of the table whose first heading is this, without heading and rule."""
    _, found, rest = TEXT.partition(f"| {first_heading} |")
    assert found
    rows = rest.partition("\n\n")[0].splitlines()[2:]
    return [[cell.strip() for cell in row.strip("|").split(" |")] for row in rows]


def table_with(first_heading: str, key: str) -> list[list[str]]:
    """The same, of several tables with this heading the one that has `key` in it."""
    for part in re.split(rf"(?=^\| {first_heading} \|)", TEXT, flags=re.M)[1:]:
        rows = part.partition("\n\n")[0].splitlines()[2:]
        if any(f"`{key}`" in row for row in rows):
            return [[cell.strip() for cell in row.strip("|").split(" |")] for row in rows]
    raise AssertionError(f"no table with {key}")


def named_in(rows: list[list[str]]) -> set[str]:
    """What stands as code in the first column."""
    return {name for row in rows for name in re.findall(r"`([^`]+)`", row[0]) if not row[0].startswith("**")}


def says(shown: str, said: str) -> bool:
    """Whether `said` is what the page shows: but for the moment, the noise of a reading and what an ellipsis leaves
    out."""
    pattern = ""
    for line in _WHEN.sub("#", shown).splitlines():
        if line == _REPEATED:
            pattern += r"(?:.*\n)*"
        else:
            pieces = [re.escape(piece).replace(_REPEATED, ".*") for piece in _READING.split(line)]
            pattern += r"(\d+(?:\.\d+)?)".join(pieces) + r"\n"
    found = re.fullmatch(pattern, _WHEN.sub("#", said))
    return found is not None and all(
        math.isclose(float(one), float(other), rel_tol=_NOISE)
        for one, other in zip(found.groups(), _READING.findall(shown), strict=True)
    )


class Terminal:
    """Types the commands of the page in a folder, where the page's ports are those of a rehearsal."""

    def __init__(self, folder: Path, ports: dict[str, str], control: ControlPort) -> None:
        self.folder, self._ports, self._control = folder, ports, control
        (folder / "my-receiver.toml").write_text(Path(JOB).read_text(encoding="utf-8"), encoding="utf-8")

    def follow(self, block: Block) -> Iterator[tuple[str, str, str]]:
        """Do what a block says; each command, what it is shown to say and what it said."""
        match block.word:
            case "clips":
                begin, end = block.rest.split()
                self._control.do("connect", quantity="resistance", **{"from": begin, "to": end})
            case "file":
                (self.folder / block.rest).write_text(self._here(block.body), encoding="utf-8")
            case "into":
                self._put_into(self.folder / block.rest, block.body)
        changed = block.rest.split(" | ") if block.word == "change" else ["", ""]
        self._change(*changed)
        for command, shown in block.typed:
            yield command, shown, self._page(self._run(block, shlex.split(self._here(command))))
        self._change(*reversed(changed))

    def _run(self, block: Block, words: list[str]) -> str:
        if words[0] == "grep":
            return subprocess.run(words, cwd=self.folder, capture_output=True, text=True, check=True).stdout
        assert words[0] == "turnproof"
        typed = block.rest.split(" | ") if block.word == "typed" else []
        with pytest.MonkeyPatch.context() as patch, _signals_and_logs_kept(), io.StringIO() as said:
            patch.chdir(self.folder)
            patch.setenv("TURNPROOF_HOME", str(self.folder / "home"))
            if block.word == "ports":
                _machine_of_the_page(patch)
            if block.word == "brisk":  # a pseudo-terminal answers at once
                patch.setattr("drivers.finding_frame.Patience", functools.partial(Patience, quiet_s=0.05, listen_s=0.1))
                words += ["--patience", "0.08", "--wire-log", MET]
            patch.setattr(sys, "stdin", _Typed(typed, said))
            with redirect_stdout(said), redirect_stderr(said), pytest.raises(SystemExit):
                main(words[1:])
            return said.getvalue()

    def _put_into(self, file: Path, body: str) -> None:
        """A table in the place of the one that has its name."""
        head = body.partition("\n")[0]
        before, found, after = file.read_text(encoding="utf-8").partition(f"{head}\n")
        assert found
        file.write_text(before + body + "\n" + after[after.index("\n[functions.") :], encoding="utf-8")

    def _change(self, old: str, new: str) -> None:
        if old != new:
            file = self.folder / "mine.toml"
            text = file.read_text(encoding="utf-8")
            assert text.count(old) == 1
            file.write_text(text.replace(old, new), encoding="utf-8")

    def _here(self, text: str) -> str:
        return functools.reduce(lambda all_, pair: all_.replace(*pair), self._ports.items(), text)

    def _page(self, text: str) -> str:
        return functools.reduce(lambda all_, pair: all_.replace(pair[1], pair[0]), self._ports.items(), text)


class _Typed(io.StringIO):
    """What a person types, which a terminal shows where it was typed."""

    def __init__(self, lines: list[str], screen: io.StringIO) -> None:
        super().__init__("".join(f"{line}\n" for line in lines))
        self._screen = screen

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
        line = super().readline(-1 if size is None else size)
        self._screen.write(line)
        return line


@contextmanager
def _signals_and_logs_kept() -> Iterator[None]:
    """The command takes both for itself, as it may in a process of its own."""
    handlers = list(logging.getLogger().handlers)
    signals = [(number, signal.getsignal(number)) for number in (signal.SIGTERM, signal.SIGHUP)]
    yield
    for handler in set(logging.getLogger().handlers) - set(handlers):
        logging.getLogger().removeHandler(handler)
        handler.close()
    for number, before in signals:
        signal.signal(number, before)


def _machine_of_the_page(patch: pytest.MonkeyPatch) -> None:
    """The ports that the page lists: one that is not permitted, one that is free, one that is in use."""
    by_id = Path("/dev/serial/by-id")
    usb = {"description": "USB serial adapter", "vid": 0x1234, "pid": 0x5678}
    found = [
        SimpleNamespace(device="/dev/ttyS0", description="n/a", vid=None, pid=None, serial_number=None),
        SimpleNamespace(device="/dev/ttyUSB0", serial_number="0042", **usb),
        SimpleNamespace(device="/dev/ttyUSB1", serial_number=None, **usb),
    ]
    patch.setattr("drivers.ports._list_ports", SimpleNamespace(comports=lambda: found))
    patch.setattr("drivers.ports._stable_names", lambda _: {"/dev/ttyUSB0": str(by_id / "usb-adapter-0042")})
    patch.setattr("drivers.ports.os.access", lambda device, mode: device != "/dev/ttyS0")
    patch.setattr("drivers.ports.group_of", lambda device: "dialout")
    patch.setattr(
        "drivers.ports.holder_of", lambda device: Holder(4242, "terminal") if device == "/dev/ttyUSB1" else None
    )

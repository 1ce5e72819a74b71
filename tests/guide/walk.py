"""Follows a page of the guide: types its commands in a folder of its own, at a simulated bench, in their order."""

from __future__ import annotations

import functools
import io
import logging
import shlex
import signal
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from bench.cli import main
from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from tests.cli.running import rehearsal
from tests.guide.at_a_terminal import AtATerminal
from tests.guide.page import GUIDE, Act, Block, read_page

__all__ = ["Ran", "Walk"]

_METER, _COUNTER = "/dev/ttyUSB0", "/dev/ttyACM0"
"""The page's ports; on the rehearsal they have other names."""


@dataclass(frozen=True)
class Ran:
    """A command of the page, what it is shown to say, what it said, and the status that it ended with."""

    command: str
    shown: str
    said: str
    status: int
    wanted: int
    measured: bool


class Walk:
    """One person's way through a page."""

    def __init__(self, folder: Path, patch: pytest.MonkeyPatch) -> None:
        self.folder, self._patch = folder, patch
        patch.chdir(folder)
        patch.setenv("TURNPROOF_HOME", str(folder / "home"))
        self._bench = ExitStack()
        self._ports: dict[str, str] = {}
        self._control: ControlPort | None = None
        self._naming_ports: dict[Path, str] = {}

    def close(self) -> None:
        self._bench.close()

    def does(self, act: Act) -> None:
        """What happens between two commands."""
        match act.verb:
            case "rehearsal":
                self._bench.close()
                job, *options = shlex.split(act.rest)
                at = self.folder / job
                ports, self._control = self._bench.enter_context(
                    rehearsal(*options, job=str(at if at.exists() else example_job(job)))
                )
                self._ports = {_METER: ports["meter"].partition("@")[2], _COUNTER: ports["counter"].partition("@")[2]}
                for path, text in self._naming_ports.items():
                    path.write_text(self._here(text), encoding="utf-8")
            case "begun":
                self._begun_as_on(act.rest)
            case "change":
                name, old, new = (part.strip() for part in act.rest.split(" | "))
                self._change(name, old, new)
            case _:
                raise AssertionError(f"nobody knows how to {act.verb!r}")

    def follow(self, block: Block) -> Iterator[Ran]:
        """Put its text into the file that it is, or type its commands."""
        for act in block.acts:
            if act.verb in ("begun", "change", "rehearsal"):
                self.does(act)
        if (name := block.said("file")) is not None:
            path = self.folder / name
            path.write_text(self._here(block.body), encoding="utf-8")
            self._naming_ports[path] = block.body
        if (name := block.said("add")) is not None:
            with (self.folder / name).open("a", encoding="utf-8") as out:
                out.write(f"\n{block.body}")
        for command, shown in block.commands:
            words = shlex.split(self._here(command), comments=True)
            assert words[0] == "turnproof", command
            status, said = self._run(words[1:], block)
            wanted = int(block.said("status") or 0)
            yield Ran(command, shown, self._page(said), status, wanted, block.said("measured") is not None)

    def _begun_as_on(self, page: str) -> None:
        """The job file of another page, up to its design."""
        for part in read_page((GUIDE / page).read_text(encoding="utf-8")):
            if isinstance(part, Block) and (
                part.said("add") or any("turnproof new" in one for one, _ in part.commands)
            ):
                list(self.follow(part))
            changes = part.acts if isinstance(part, Block) else (part,)
            for act in changes:
                if act.verb == "change":
                    self.does(act)
                    return

    def _run(self, words: list[str], block: Block) -> tuple[int, str]:
        script = [act for act in block.acts if act.verb in ("person", "sees", "press", "spindle", "typed")]
        if script:
            return AtATerminal(words, self._control).goes(script)
        with pytest.MonkeyPatch.context() as patch, _signals_and_logs_kept(), io.StringIO() as said:
            patch.setattr(sys, "stdin", io.StringIO())
            with redirect_stdout(said), redirect_stderr(said), pytest.raises(SystemExit) as ended:
                main(words)
            return int(ended.value.code or 0), said.getvalue()

    def _change(self, name: str, old: str, new: str) -> None:
        path = self.folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def _here(self, text: str) -> str:
        return functools.reduce(lambda all_, pair: all_.replace(*pair), self._ports.items(), text)

    def _page(self, text: str) -> str:
        text = functools.reduce(lambda all_, pair: all_.replace(pair[1], pair[0]), self._ports.items(), text)
        return text.replace(f"{self.folder}/home/data", "~/.local/share/turnproof").replace(f"{self.folder}/", "")


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

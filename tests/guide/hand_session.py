"""The session of the page about a test by hand: recorded on the rehearsal, and played again from what was typed."""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.cli.running import JOB, rehearsal
from tests.cli.typist import Typist
from tests.warm_start import Started

PAGE = Path(__file__).resolve().parents[2] / "bench" / "guide" / "test-by-hand.md"
SESSION = Path(__file__).with_name("by_hand_session.txt")
"""The whole of it; the page shows parts."""

_PROMPTS = r"  (?:done\?|(?:\w+) \[[^\]]+\]:|Why skip\? \(number or words\)|End it early\?[^\n]*:)"
_WAITS = "left; Enter ends it early\n"
_PROMPT = re.compile(rf"(?=  (?:(\w+) \[)?){_PROMPTS} \Z")
_TYPED = re.compile(rf"^({_PROMPTS}) ?(.*)$", re.MULTILINE)
_TYPED_OR_WAITED = re.compile(rf"^({_PROMPTS}) ?(.*)$|^.*{_WAITS.strip()}$", re.MULTILINE)
_PART = re.compile(r"^<!-- (session|cut) from: (.*) -->$", re.MULTILINE)
_COLUMNS = 112

# What this person has no means or no time for, by words of the ask, with the number of the reason.
_SKIPS = {"Only if you mean to: a dielectric test": "1", "No load of this bench": "1"}


class Newcomer(Typist):
    """Does and types what is asked; skips what there is no means for.  The session comes with what was typed."""

    def take(self, test: subprocess.Popen[str]) -> str:
        assert test.stdout is not None
        assert test.stdin is not None
        said, block, why = "", "", ""
        while character := test.stdout.read(1):
            block += character
            if block.endswith(_WAITS):
                self._type(test, "")
            prompt = _PROMPT.search(block) if character == " " else None
            if prompt is None:
                continue
            skipped = next((number for words, number in _SKIPS.items() if words in block), None)
            if "End it early?" in block:
                typed = "no time today"
            elif why:
                typed, why = why, ""
            elif skipped is not None:
                typed, why = "s", skipped
            else:
                typed = self._answer(block, prompt.group(1))
            self._type(test, typed)
            said, block = f"{said}{block}{typed}\n", ""
        return said + block

    def _type(self, test: subprocess.Popen[str], line: str) -> None:
        assert test.stdin is not None
        test.stdin.write(f"{line}\n")
        test.stdin.flush()


@dataclass(frozen=True)
class Part:
    """Of the session, from the ask with these words to the next part; shown on the page, or cut out and said so."""

    shown: bool
    words: str


def bench_file(page: str) -> str:
    """The bench file that the page shows."""
    found = re.search(r"^```toml\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[1]


def recorded(folder: Path, seed: int) -> str:
    """The whole test on a rehearsal: what the terminal showed, with what was typed."""
    (folder / "bench.toml").write_text(bench_file(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    # Typing takes seconds here; at this speed the supply drifts as it does while a person takes an hour.
    with rehearsal("--speed", "100", "--seed", str(seed)) as (_, control), _Test(folder) as test:
        said = Newcomer(control).take(test)
    where = "Record: ~/.local/share/turnproof/records.sqlite, head (16 hexadecimal digits)"
    return re.sub(r"(?m)^Record: .*$", where, said)


def played(folder: Path, page: str, typed: list[str]) -> str:
    """The same test with nothing but lines typed ahead: what it asks does not hang on a rehearsal."""
    (folder / "bench.toml").write_text(bench_file(page), encoding="utf-8")
    with _Test(folder) as test:
        said, _ = test.communicate("".join(f"{line}\n" for line in typed), timeout=120)
    answers = iter(typed)
    return _with_answers(said, answers)


def _with_answers(said: str, answers: Iterator[str]) -> str:
    """What was typed put behind each prompt, where a terminal shows it."""
    found = re.compile(rf"{_PROMPTS} |(?<={re.escape(_WAITS.strip())})\n")
    return found.sub(lambda at: f"{at[0]}{next(answers)}\n".removesuffix("\n" if at[0] == "\n" else ""), said)


class _Test(Started):
    def __init__(self, folder: Path) -> None:
        environment = {**os.environ, "PYTHONUNBUFFERED": "1", "TURNPROOF_HOME": str(folder / "home")}
        super().__init__(
            "test", JOB, "--meter", "yellow", "--bench", str(folder / "bench.toml"),
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment,
        )  # fmt: skip


def asks(session: str) -> list[str]:
    """Each ask to its prompt, cautions and leads included, with its blanks evened out and without what was typed."""
    found, block = [], ""
    for line in session.splitlines(keepends=True):
        block = "" if not line.strip() else block + line
        typed = _TYPED.match(line)
        if typed is not None:
            before = block[: len(block) - len(line)]
            found.append(" ".join(f"{before} {typed[1]}".split()))
            block = ""
    return found


def answers(session: str) -> list[str]:
    """What was typed, in order; Enter where a wait is ended early."""
    return ["" if typed[0].endswith(_WAITS.strip()) else typed[2] for typed in _TYPED_OR_WAITED.finditer(session)]


def told(session: str) -> str:
    """The table and verdict at the end, without digits: they hang on the moment at which each reading was typed."""
    end = session[session.index("designed    measured") :]
    return " ".join(re.sub(r"[-+±]?[0-9][0-9.,]*", "#", end.partition("Record:")[0]).split())


def parts(page: str) -> list[Part]:
    return [Part(kind == "session", words) for kind, words in _PART.findall(page)]


def split(session: str, wanted: list[Part]) -> list[str]:
    """The session cut where each part begins; raises ValueError for words that it has not in that order."""
    chunks = [chunk for chunk in re.split(r"(?m)^(?=\n)", session) if chunk.strip()]
    starts, place = [], 0
    for part in wanted:
        try:
            place = next(n for n in range(place, len(chunks)) if part.words in chunks[n])
        except StopIteration:
            raise ValueError(f"the session has no ask with {part.words!r} after part {len(starts)}") from None
        starts.append(place)
        place += 1
    starts.append(len(chunks))
    assert starts[0] == 0
    return ["".join(chunks[a:b]) for a, b in itertools.pairwise(starts)]


def with_session(page: str, session: str) -> str:
    """The page with its blocks filled from a session."""
    wanted = parts(page)
    pieces = split(session, wanted)
    filled = ""
    for part, piece in zip(wanted, pieces, strict=True):
        if part.shown:
            before, head, page = page.partition(f"<!-- session from: {part.words} -->\n```text\n")
            page = page[page.index("```\n") :]
            filled += f"{before}{head}{_narrow(piece)}"
    return filled + page


def _narrow(piece: str) -> str:
    """Long lines broken between words, no blanks at the ends."""
    lines = []
    for line in piece.strip("\n").splitlines():
        indent = " " * (len(line) - len(line.lstrip()) + 4)
        lines += textwrap.wrap(line, _COLUMNS, subsequent_indent=indent) if len(line) > _COLUMNS else [line.rstrip()]
    return "".join(f"{line}\n" for line in lines)

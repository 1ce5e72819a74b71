"""Commands that bring about the messages of the page of trouble, and the words of the program where no command does."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from tests.cli.running import JOB

__all__ = ["BY_COMMAND", "FILES", "words_of_the_program"]

_HEAD = 'schema = 1\n[identity]\nnumber = "T-1"\n'
FILES = {
    "least.toml": _HEAD,
    "bare-number.toml": f'{_HEAD}[supply]\nvoltage = 230\nfrequency = "50 Hz"\n',
    "slip.toml": f'{_HEAD}[[winding]]\nname = "p"\nrole = "primary"\nwier = "0.4 mm"\n',
    "layers.toml": f'{_HEAD}[[winding]]\nname = "p"\nrole = "primary"\nturns = 19\nlayers = [10, 10]\n',
    "newer.toml": _HEAD.replace("schema = 1", "schema = 2"),
    "no.toml": "schema = 1\n[identity\n",
    "steel.toml": f'{_HEAD}[core]\nsteel = "m19"\n',
}

_WIND = ["wind", JOB, "heater", "--counter", "hand"]
BY_COMMAND: dict[str, tuple[list[str], str]] = {
    "no command 'tset'": (["tset"], ""),
    "Missing option '--meter'": (["test", JOB], ""),
    "expected PROFILE@PORT such as scpi@/dev/ttyUSB0, or hand": (["test", JOB, "--meter", "yelow"], ""),
    "no page 'metre'": (["guide", "metre"], ""),
    "no such file, expected a TOML file": (["check", "nothere.toml"], ""),
    "not TOML": (["check", "no.toml"], ""),
    "unknown key, did you mean 'wire'?": (["check", "slip.toml"], ""),
    "has no unit, expected a voltage such as '230 V'": (["check", "bare-number.toml"], ""),
    "layers of p add up to 20, expected its 19 turns": (["check", "layers.toml"], ""),
    "is newer than this program": (["check", "newer.toml"], ""),
    "is not known, expected one of m19-29ga": (["check", "steel.toml"], ""),
    "missing, the test needs it": (["test", "least.toml", "--meter", "hand"], ""),
    "the plan needs core.lamination": (["sheet", "least.toml"], ""),
    "is not in the job, expected one of": (["wind", JOB, "heter", "--counter", "hand"], ""),
    "is no number of turns": (_WIND, "ten\nq\n"),
    "turns can't be taken back": (_WIND, "-3\nq\n"),
    "past the target of 19: take them back and type -2": (_WIND, "21\nq\n"),
    "no instrument for it": (["test", JOB, "--meter", "hand"], "\n19 degC\ns\n1\nq\n2\n"),
    "Not ready:": (["varnish", JOB], ""),
    "no record, expected one of": (["record", "NOPE"], ""),
    "no test is kept and no reading given": (["diagnose", JOB], ""),
}
"""By message, what is typed: the command, and the lines after it."""


@lru_cache(maxsize=1)
def words_of_the_program() -> tuple[str, ...]:
    """Every text in the source, those that stand in one line of a message put together."""
    root = Path(__file__).resolve().parents[2]
    return tuple(
        text
        for room in ("bench", "drivers")
        for path in sorted((root / room).rglob("*.py"))
        for text in _texts(path.read_text(encoding="utf-8"))
    )


def _texts(source: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value

"""How the answer of a measurement that a diagnosis advises is given back: a command to copy."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

__all__ = ["then_lines"]


def then_lines(
    job_file: Path, readings: Sequence[str], answers: Sequence[str], options: Sequence[str] = ()
) -> list[str]:
    """One line for each answer; what was typed so far is typed again, since no record keeps it.

    options: the others of the command, as they were given.
    """
    command = ["turnproof", "diagnose", str(job_file), *options]
    for one in readings:
        command += ["--reading", one]
    told = " ".join(shlex.quote(part) for part in command)
    heads = ["then:", *["  or:"] * (len(answers) - 1)]
    return [f"{head} {told} --reading {answer}" for head, answer in zip(heads, answers, strict=bool(answers))]

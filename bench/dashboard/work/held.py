"""A winding held for one go, with what is wrong said to somebody who has keys."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bench.job.model import Job
from bench.job.winding import Winding
from bench.sitting.held_winding import held_winding
from bench.sitting.problems import BadInput
from bench.sitting.winding_record import WindingRecord

__all__ = ["Held", "held"]

Held = tuple[WindingRecord, Winding, int]
"""Its record, itself, the turns to wind to."""

_KEYS_FOR = {"--from TURNS": "F", "--from": "F", "--again": "A"}
"""What the command line calls by an option and the window by a key."""


@contextmanager
def held(path: Path, job: Job, name: str, *, again: bool, start: float | None) -> Iterator[Held]:
    """Raises BadInput, InstrumentTrouble or RecordProblem."""
    wanted = job.get_winding(name)
    if wanted.turns is None:
        raise BadInput(f"{path}: winding.{name}.turns: missing, expected the turns to wind to")
    try:
        with held_winding(path, job, name, again=again, start=start) as record:
            yield record, wanted, wanted.turns
    except BadInput as problem:
        raise BadInput(_with_keys(str(problem))) from None


def _with_keys(words: str) -> str:
    for option, key in _KEYS_FOR.items():
        words = words.replace(option, key)
    return words

"""The write-ahead log cut short or torn, at any place: in the entry being written, as a power cut leaves it, and
anywhere, as nothing leaves it but a failing disk or somebody's copy."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from bench.records.log_end import log_of
from bench.records.newest import NewestLines
from tests.campaigns.store.judging import missing, record_of, rows_of
from tests.campaigns.store.killed import UNFINISHED
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import Stored, writing

__all__ = ["log_damaged_anywhere", "log_ends_in_the_entry_being_written", "log_gone_without_its_second_copy"]

PUT_BACK = "missing in it, as after a damaged write-ahead log: put back, nothing is lost"
UNKNOWN = "whether entries before it are lost can't be known without records.sqlite-newest.jsonl, which is not there"
_OFFSETS_OF_A_RECORD = 25
_SECTOR = 512
_BEFORE_IT_GOES_INTO_THE_FILE = 180
"""Entries that the log holds before SQLite takes it into the file: few enough, nearly always."""

Damage = Callable[[Path, int, int, random.Random], None]
"""Log, the range of its bytes that may be hit, randomness."""


def cut(log: Path, begin: int, end: int, rng: random.Random) -> None:
    """Short at one of these bytes, the first left out."""
    with log.open("r+b") as file:
        file.truncate(rng.randrange(begin + 1, end))


def torn(log: Path, begin: int, end: int, rng: random.Random) -> None:
    """From some place on about each second sector was never written: it holds nothing, or anything."""
    first = rng.randrange(begin, end)
    with log.open("r+b") as file:
        for sector in range(first // _SECTOR, -(-end // _SECTOR)):
            if sector > first // _SECTOR and rng.random() < 0.5:
                continue
            low, high = max(begin, sector * _SECTOR), min(end, (sector + 1) * _SECTOR)
            file.seek(low)
            file.write(bytes(high - low) if rng.random() < 0.5 else rng.randbytes(high - low))


@dataclass(frozen=True)
class _Left:
    """What a killed writer left, of which nothing went from the log into the file yet.  stored: in their order."""

    home: Path
    stored: list[Stored]

    def copied(self, folder: str) -> Path:
        """Another home with the same, to be damaged.  The index beside the log dies with the computer."""
        home = Path(folder)
        for file in record_of(self.home).parent.iterdir():
            if not file.name.endswith("-shm"):
                shutil.copyfile(file, record_of(home).parent / file.name)
        return home


def _left_behind(times: int, rng: random.Random) -> Iterator[tuple[_Left, int]]:
    """With the number of each try."""
    for first in range(0, times, _OFFSETS_OF_A_RECORD):
        with tempfile.TemporaryDirectory() as folder:
            left = _killed_early(Path(folder), rng)
            for number in range(first, min(times, first + _OFFSETS_OF_A_RECORD)):
                yield left, number


def _killed_early(folder: Path, rng: random.Random) -> _Left:
    while True:
        home = Path(tempfile.mkdtemp(dir=folder))
        with writing(record_of(home), rng.randrange(1 << 30), most=_BEFORE_IT_GOES_INTO_THE_FILE, stays=True) as writer:
            writer.wait_for(rng.randrange(10, _BEFORE_IT_GOES_INTO_THE_FILE))
            writer.kill()
            grows = all(one.log < other.log for one, other in pairwise(writer.stored))
            if grows and len(writer.stored) > 5 and log_of(record_of(home)).exists():
                return _Left(home, writer.stored)


def log_ends_in_the_entry_being_written(what: str, damage: Damage, times: int, seed: int) -> Outcome:
    """The power went while some entry was written: every one before it is there, and that it was lost is said."""
    outcome = Outcome(f"{what} in the entry being written")
    rng = random.Random(seed)
    for left, number in _left_behind(times, rng):
        with tempfile.TemporaryDirectory() as folder:
            home = left.copied(folder)
            last = rng.randrange(2, len(left.stored))
            stored, log = left.stored[:last], log_of(record_of(home))
            begin, end = stored[-1].log, left.stored[last].log
            with log.open("r+b") as file:
                file.truncate(end)
            whole = log.read_bytes()
            damage(log, begin, end, rng)
            hit = log.read_bytes() != whole  # a sector that holds nothing may have been to hold nothing
            _without_lines_from(NewestLines(record_of(home)).path, left.stored[last].hash)
            _judge(home, stored, number, outcome, UNFINISHED, due=hit)
    return outcome


def _without_lines_from(path: Path, digest: str) -> None:
    """A line is added once its entry is stored."""
    lines = path.read_text(encoding="utf-8").split("\n")
    place = next(place for place, line in enumerate(lines) if digest in line[-70:])
    path.write_text("\n".join(lines[:place]), encoding="utf-8")


def log_damaged_anywhere(what: str, damage: Damage, times: int, seed: int) -> Outcome:
    """What stood behind it in the log is put back from its second copy."""
    outcome = Outcome(f"{what} anywhere")
    rng = random.Random(seed)
    for left, number in _left_behind(times, rng):
        with tempfile.TemporaryDirectory() as folder:
            home = left.copied(folder)
            log = log_of(record_of(home))
            damage(log, 0, left.stored[-1].log, rng)
            # one that was stored and not shown any more may be the only one that was hit
            _judge(home, left.stored, number, outcome, PUT_BACK, UNFINISHED)
    return outcome


def log_gone_without_its_second_copy(times: int, seed: int) -> Outcome:
    """Then what stands before the cut is all that there is: each entry of it must be there, in whole chains."""
    outcome = Outcome("log cut anywhere, and its second copy deleted: entries before the cut")
    rng = random.Random(seed)
    for left, number in _left_behind(times, rng):
        with tempfile.TemporaryDirectory() as folder:
            home = left.copied(folder)
            lines, log = NewestLines(record_of(home)), log_of(record_of(home))
            lines.path.unlink()
            cut(log, left.stored[0].log, left.stored[-1].log, rng)
            size = log.stat().st_size
            _judge(home, [one for one in left.stored if one.log <= size], number, outcome, UNKNOWN)
    return outcome


def _judge(home: Path, stored: list[Stored], number: int, outcome: Outcome, *words: str, due: bool = False) -> None:
    where = f"try {number}"
    outcome.tries += 1
    outcome.stored += len(stored)
    outcome.judge_opening(home, where, words, by_command=number % 10 == 0, due=due)
    outcome.lost += [f"{where}: {line}" for line in missing(stored, rows_of(record_of(home)))]

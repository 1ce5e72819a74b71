"""The jobs and the bench that stand in the pictures: an untouched job, one half wound, one finished, each in the
record of a folder of their own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from bench.dashboard.pictures.dry_sitting import dry_sitting
from bench.dashboard.pictures.photograph import BROWN, GREY, drawn
from bench.dashboard.pictures.still_desk import Known, StillDesk
from bench.dashboard.state import Snapshot
from bench.job.bench_file import BenchFile
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.attaching import keep_picture
from bench.sitting.opening import open_store
from bench.sitting.winding_record import WindingRecord

__all__ = ["FINISHED", "HALF_WOUND", "UNTOUCHED", "PictureBench", "picture_bench"]

UNTOUCHED, HALF_WOUND, FINISHED = "untouched", "half wound", "finished"
_BENCH = {
    "schema": 1,
    "counter": [{"name": "winding machine", "use": "hall@/dev/ttyACM0"}],
    "meter": [{"name": "bench meter", "use": "scpi@/dev/ttyUSB0"}, {"name": "pocket meter", "use": "hand"}],
    "resistor": {"resistance": "1 kohm", "tolerance": 0.01},
    "limiter": {"kind": "lamp", "power": "60 W"},
}
_HALF = 812.0
"""Turns of the second winding at which it was left."""


@dataclass(frozen=True)
class PictureBench:
    """bench: what is owned;  jobs: files by their state;  aside: a record for sittings that only make pictures;  known:
    what its desks had reckoned."""

    bench: BenchFile
    jobs: dict[str, Path]
    aside: Store
    known: Known = field(default_factory=list)

    def desk(self, job: str = "") -> StillDesk:
        """A new one, with that job open; with none for ''."""
        desk = StillDesk(self.bench, self.known)
        if job:
            desk.open_job(self.jobs[job])
            desk.tick()
        return desk


@contextmanager
def picture_bench(folder: Path) -> Iterator[PictureBench]:
    """folder: empty; jobs and the record beside the user's go there, so TURNPROOF_HOME must lie in it already."""
    jobs = {
        UNTOUCHED: _copy("gate-opener", folder, ""),
        HALF_WOUND: _copy("coastal-receiver", folder, ""),
        FINISHED: _copy("coastal-receiver", folder, "TP-0131"),
    }
    with open_store() as store, Store(folder / "aside.sqlite") as aside:
        made = PictureBench(BenchFile.model_validate(_BENCH), jobs, aside)
        _wind(store, read_job(jobs[HALF_WOUND]), jobs[HALF_WOUND], whole=1)
        finished = read_job(jobs[FINISHED])
        _wind(store, finished, jobs[FINISHED], whole=len(finished.winding))
        store.append(finished.identity.number, Kind.INSTRUMENT, {
            "name": "bench meter", "use": "scpi@/dev/ttyUSB0", "identity": "Example Works,BENCH METER 4,0417,1.2",
        })  # fmt: skip
        dry_sitting(finished, made.bench, Snapshot(job=finished), store)
        store.append(finished.identity.number, Kind.NOTE, {"text": "leads sleeved anew, tags copied from the old unit"})
        _photograph(store, finished.identity.number, folder)
        yield made


def _photograph(store: Store, number: str, folder: Path) -> None:
    """Three pictures, drawn: one marked, one that nobody said a word of, one whose file is spoilt."""
    for name, ground, told in (
        ("a", BROWN, {"caption": "lead dress, upper side", "winding": "ht", "on_certificate": True}),
        ("b", GREY, {"stage": "restack"}),
    ):
        path = folder / f"{name}.png"
        drawn(ground).save(str(path))
        keep_picture(store, number, path, told)
    spoilt = folder / "c.jpg"
    spoilt.write_bytes(b"\xff\xd8 nothing more")
    keep_picture(store, number, spoilt, {"caption": "screen, its ends apart"})


def _copy(example: str, folder: Path, number: str) -> Path:
    text = example_job(example).read_text(encoding="utf-8")
    if number:
        text = text.replace('number = "TP-0107"', f'number = "{number}"', 1)
    path = folder / f"{example}{'-' + number if number else ''}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _wind(store: Store, job: Job, path: Path, *, whole: int) -> None:
    """So many windings finished, and the next one, where there is one, left on the way."""
    number = job.identity.number
    store.append(number, Kind.JOB_FILE, {"file": path.name, "text": path.read_text(encoding="utf-8")})
    for place, winding in enumerate(job.winding[: whole + 1]):
        turns = float(winding.turns or 0)
        record = WindingRecord(store, number, winding.name)
        record.begin(record.state, round(turns), "winding machine")
        on = turns if place < whole else _HALF
        record.keep("count", {"turns": on, "low": on, "high": on, "counter": None})
        if place < whole:
            record.keep("winding done", {"turns": on, "low": on, "high": on, "target": round(turns)})
        else:
            record.keep("winding go", {"left": True})

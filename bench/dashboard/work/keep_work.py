"""What was typed goes into the record, under the job's lock as a command would."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders
from bench.dashboard.work.to_keep import not_kept, say_after_the_end
from bench.job.bench_file import MeterEntry
from bench.job.model import Job
from bench.records.entry import Kind
from bench.records.instrument_entry import keep_hand_meter
from bench.records.problem import RecordProblem
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.problems import InstrumentTrouble

__all__ = ["KeepWork"]


@dataclass(frozen=True)
class KeepWork:
    """bodies: by kind;  words: what it is;  path: of the job file, kept before it;  meter: whose readings
    they are."""

    job: Job
    bodies: tuple[tuple[Kind, dict[str, Any]], ...]
    words: str
    path: Path | None = None
    meter: MeterEntry | None = None
    doing: str = "survey"

    @property
    def whole(self) -> str:
        """The words, and all of a note of which they are the beginning."""
        notes = [
            str(body["text"]) for kind, body in self.bodies if kind is Kind.NOTE and str(body["text"]) not in self.words
        ]
        return ": ".join((self.words, *notes))

    def run(self, bridge: Bridge, orders: Orders) -> None:
        number = self.job.identity.number
        try:
            with take_job_lock(self.job, "survey --read"), open_store() as store:
                if self.path is not None:
                    text = self.path.read_text(encoding="utf-8")
                    store.append(number, Kind.JOB_FILE, {"file": self.path.name, "text": text})
                if self.meter is not None:
                    keep_hand_meter(store, number, self.meter, "survey", anew=False)
                for kind, body in self.bodies:
                    store.append(number, kind, body)
        except (InstrumentTrouble, RecordProblem, OSError) as problem:
            # Named whole, so that it can be typed again.
            line = not_kept(self.whole, str(problem))
            if bridge.closed:
                say_after_the_end(line)
            raise InstrumentTrouble(line) from None
        bridge.tell(told.Said(f"kept: {self.words}"))

"""What was typed goes into the record, under the job's lock as a command would."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders
from bench.job.model import Job
from bench.records.entry import Kind
from bench.records.problem import RecordProblem
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.problems import InstrumentTrouble

__all__ = ["KeepWork"]


@dataclass(frozen=True)
class KeepWork:
    """bodies: by kind;  words: what it is;  path: of the job file, kept before it."""

    job: Job
    bodies: tuple[tuple[Kind, dict[str, Any]], ...]
    words: str
    path: Path | None = None
    doing: str = "survey"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        number = self.job.identity.number
        try:
            with take_job_lock(self.job, "survey --read"), open_store() as store:
                if self.path is not None:
                    text = self.path.read_text(encoding="utf-8")
                    store.append(number, Kind.JOB_FILE, {"file": self.path.name, "text": text})
                for kind, body in self.bodies:
                    store.append(number, kind, body)
        except (InstrumentTrouble, RecordProblem, OSError) as problem:
            # Named whole, so that it can be typed again.
            raise InstrumentTrouble(f"not kept: {self.words}: {problem}") from None
        bridge.tell(told.Said(f"kept: {self.words}"))

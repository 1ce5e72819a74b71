"""The job file changed from the window: a target, or a design that was found; never over what somebody else wrote."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders
from bench.job.file import FileProblem
from bench.sitting.opening import open_job
from bench.sitting.problems import BadInput

__all__ = ["WriteWork"]


@dataclass(frozen=True)
class WriteWork:
    """write: the file, whose text it knows; raises FileProblem or BadInput;  words: what it is."""

    path: Path
    write: Callable[[], object]
    words: str
    doing: str = "design"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        try:
            self.write()
        except (FileProblem, BadInput) as problem:
            raise BadInput(f"not written: {self.words}: {str(problem).splitlines()[0]}") from None
        job = open_job(self.path)
        bridge.tell(told.JobOpened(self.path, job, self.path.read_text(encoding="utf-8")))
        bridge.tell(told.Said(f"written into {self.path.name}: {self.words}"))

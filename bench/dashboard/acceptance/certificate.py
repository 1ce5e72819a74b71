"""The certificate of the last test, written beside the job file and opened."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Question
from bench.dashboard.parts.over_question import over_question
from bench.dashboard.state import Snapshot
from bench.dashboard.work.paper_written import WrittenPaper, reason_question, written_paper
from bench.records.kept_profiles import keep_job_file
from bench.sitting.opening import open_store
from bench.sitting.shared_records import bring_up_to_date

__all__ = ["WrittenCertificate"]

_NAME = "certificate of the test"


def _open(path: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))


class WrittenCertificate:
    """show: opens the file for the person;  put: asks before a file that is there is written over; without it none
    is."""

    def __init__(self, desk: Desk, show: Callable[[Path], None] = _open) -> None:
        self._desk, self.show = desk, show
        self._seen: told.Reckoned | None = None
        self._wanted = False
        self._again: Callable[..., None] = self._write
        self.put: Callable[[Question], None] | None = None

    def write(self) -> None:
        """From the record, so that it says what was kept and nothing else."""
        state = self._desk.state
        if state.job is None or state.path is None:
            return
        number, path = state.job.identity.number, state.path.with_name(f"{state.path.stem}-certificate.pdf")
        if not path.exists():
            self._write(number, path, over=False)
        elif self.put is not None:
            self.put(over_question(path, lambda: self._write(number, path, over=True)))

    def _write(self, number: str, path: Path, *, over: bool, because: str = "") -> None:
        job_file = self._desk.state.path
        self._again = partial(self._write, number, path, over=over)

        def write() -> WrittenPaper:
            with open_store() as store:
                if job_file is not None:
                    bring_up_to_date(store, number)
                    keep_job_file(store, number, job_file)
                return written_paper(store, number, path, over=over, because=because)

        self._seen = self._desk.state.reckoned.get(_NAME)
        self._wanted = True
        self._desk.reckon(_NAME, write)

    def look(self, state: Snapshot) -> None:
        """Whether it is written meanwhile."""
        found = state.reckoned.get(_NAME)
        if not self._wanted or found is None or found is self._seen:
            return
        self._wanted, self._seen = False, found
        if found.problem:
            self._desk.tell(f"The certificate can't be written: {found.problem}", grave=True)
            return
        written: WrittenPaper = found.value
        self._desk.tell(written.words)
        if written.path is not None:
            self.show(written.path)
        elif self.put is not None:
            self.put(reason_question(written, lambda because: self._again(because=because)))

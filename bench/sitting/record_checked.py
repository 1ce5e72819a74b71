"""Whether a job's record is whole: its chain, and the files that belong to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.attachments import attachments_folder, problems_of
from bench.records.entry import Kind

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["Checked", "checked"]


@dataclass(frozen=True)
class Checked:
    """problems: a line each, none where all is whole;  entries, attached: how many;  head: hash of the newest entry."""

    problems: tuple[str, ...]
    entries: int
    attached: int
    head: str

    @property
    def words(self) -> str:
        """Of a record that is whole."""
        attached = f", {self.attached} attached unaltered" if self.attached else ""
        return f"{self.entries} entries, chain whole{attached}"


def checked(store: Store, number: str, head: str = "") -> Checked:
    """Reads every entry of the job and every file that belongs to it; raises RecordProblem.

    head: hash of an entry that must be among them, as a certificate has it: a chain whose tail was cut is whole, too.
    """
    problems = store.verify(number)
    if head and not store.holds(number, head):
        problems.append(
            f"{number}: no entry has the hash {head}: the record was cut before it, or it is another record's"
        )
    folder = attachments_folder(store.path)
    files = store.entries_of(number, (Kind.PHOTO, Kind.CERTIFICATE))
    problems += [f"{number}: entry {one.seq}: {line}" for one in files for line in problems_of(folder, one.body)]
    return Checked(tuple(problems), store.count(number), len(files), store.head(number))

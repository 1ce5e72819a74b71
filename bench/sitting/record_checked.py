"""Whether a job's record is whole: its chain, and the files that belong to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.attachments import attachments_folder, problems_of
from bench.records.entry import Kind
from bench.records.problem import RecordProblem, ServerAway

if TYPE_CHECKING:
    from bench.records.reader import Records
    from bench.records.server.server import Server
    from bench.records.store import Store

__all__ = ["Checked", "checked", "checked_on_server"]


@dataclass(frozen=True)
class Checked:
    """problems: a line each, none where all is whole;  entries, attached: how many;  head: hash of the newest entry."""

    number: str
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
    folder = attachments_folder(store.path)
    files = store.entries(number, Kind.PHOTO)
    attached = [f"{number}: entry {one.seq}: {line}" for one in files for line in problems_of(folder, one.body)]
    return _checked(store, number, head, attached, len(files))


def checked_on_server(server: Server, number: str, head: str = "") -> Checked:
    """The same of what a workshop's server has of the job, of every bench."""
    files = server.entries(number, Kind.PHOTO)
    missing = server.lacks_contents(str(one.body.get("sha256")) for one in files)
    attached = []
    for one in files:
        try:
            if str(one.body.get("sha256")) in missing:
                attached.append(f"{number}: entry {one.seq}: {one.body.get('name')}: is missing")
            else:
                server.content(str(one.body.get("sha256")))
        except ServerAway:
            raise
        except RecordProblem as problem:
            attached.append(f"{number}: entry {one.seq}: {one.body.get('name')}: {problem}")
    return _checked(server, number, head, attached, len(files))


def _checked(records: Records, number: str, head: str, attached: list[str], files: int) -> Checked:
    problems = records.verify(number)
    if head and not records.holds(number, head):
        problems.append(
            f"{number}: no entry has the hash {head}: the record was cut before it, or it is another record's"
        )
    return Checked(number, (*problems, *attached), records.count(number), files, records.head(number))

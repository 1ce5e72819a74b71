"""Whether a job's record is whole: its chain, and the files that belong to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.attachments import attachments_folder, lines_folder, problems_of
from bench.records.damage import damage_of_file
from bench.records.entry import ATTACHED, Entry, Kind
from bench.records.problem import RecordProblem, ServerAway
from bench.sitting.shared_records import shared

if TYPE_CHECKING:
    from bench.records.reader import Records
    from bench.records.server.server import Server
    from bench.records.store import Store

__all__ = ["Checked", "checked", "checked_on_server", "damage_words"]


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
    try:
        files = store.entries_of(number, ATTACHED)
    except RecordProblem as problem:  # other jobs may be whole
        return Checked(number, tuple(store.verify(number)) or (str(problem),), 0, 0, "")
    attached = [f"{number}: entry {one.seq}: {line}" for one in files for line in problems_of(folder, one.body)]
    for one in store.entries(number, Kind.WIRE_LOG):
        attached += [f"{number}: entry {one.seq}: {line}" for line in _lines_problems(store, one)]
    return _checked(store, number, head, attached, len(files))


def _lines_problems(store: Store, entry: Entry) -> list[str]:
    """Of what a counter sent; the demo keeps its lines beside its record, and where benches share their records they
    stay on the one that counted."""
    folders = (lines_folder(store.path, entry.job), store.path.parent)
    if shared() is not None and not any((folder / str(entry.body.get("file"))).exists() for folder in folders):
        return []
    found = [problems_of(folder, {**entry.body, "name": "a counter's lines"}) for folder in folders]
    return [] if not all(found) else found[0]


def damage_words(store: Store) -> str:
    """Of the file itself, where a chain is not whole; empty where the database finds no fault with it."""
    found = damage_of_file(store.connection)
    if not found:
        return ""
    return (
        f"{store.path}: the file is damaged ({found}); keep a copy of its folder as it is, and get what is gone from "
        f"the last good copy; newer entries stand in {store.newest_lines.path.name}"
    )


def checked_on_server(server: Server, number: str, head: str = "") -> Checked:
    """The same of what a workshop's server has of the job, of every bench."""
    files = server.entries_of(number, ATTACHED)
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
    try:
        count, newest = records.count(number), records.head(number)
    except RecordProblem as problem:
        return Checked(number, (*problems, str(problem), *attached), 0, files, "")
    return Checked(number, (*problems, *attached), count, files, newest)

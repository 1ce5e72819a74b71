"""Which certificate it is: its number, and how it came to take the place of the ones before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from bench.records.entry import Entry

__all__ = ["Amendment", "Given", "amendment_to", "given_before", "well_told"]


@dataclass(frozen=True)
class Amendment:
    """number from 1;  date: its own;  of_date, of_head, of_sha256: of the certificate that it amends: when it was
    given, the head of the record then, and the hash of its file;  because: the person's reason;  changes: what is
    other than there."""

    number: int
    date: str
    of_date: str
    of_head: str
    of_sha256: str
    because: str
    changes: tuple[str, ...]


@dataclass(frozen=True)
class Given:
    """number from 1;  amendments: all up to this certificate, in order."""

    number: int
    date: str
    amendments: tuple[Amendment, ...] = ()

    @property
    def words(self) -> str:
        """`certificate 2, given 2026-11-26: amendment 1 to the certificate of 2026-11-20`."""
        said = f"certificate {self.number}, given {self.date}"
        if not self.amendments:
            return said
        last = self.amendments[-1]
        return f"{said}: amendment {last.number} to the certificate of {last.of_date}"


def well_told(entries: Sequence[Entry]) -> list[Entry]:
    """Of the entries of kind `certificate` those that tell which it was: a record may come from anywhere."""
    return [one for one in entries if _tells(one.body)]


def _tells(body: dict[str, object]) -> bool:
    numbers = [body.get(key) for key in ("number", "head_entry")]
    whole = all(type(one) is int and one >= 1 for one in numbers)
    words = all(isinstance(body.get(key), str) for key in ("date", "form", "head", "sha256", "file"))
    try:
        date.fromisoformat(str(body.get("date")))
    except ValueError:
        return False
    return whole and words


def given_before(entries: Sequence[Entry]) -> Given | None:
    """The newest certificate among these entries of kind `certificate`; None where none was given."""
    if not entries:
        return None
    amendments = []
    first_of: dict[int, Entry] = {}
    for one in entries:
        first_of.setdefault(int(one.body["number"]), one)
    for number, one in first_of.items():
        before = first_of.get(number - 1)
        if before is not None:
            amendments.append(amendment_to(before, one.body))
    newest = first_of[max(first_of)].body
    return Given(int(newest["number"]), str(newest["date"]), tuple(amendments))


def amendment_to(before: Entry, body: dict[str, object]) -> Amendment:
    """before: the entry of the certificate that is amended;  body: of the one that amends it."""
    changes = body.get("changes")
    return Amendment(
        number=int(str(body["number"])) - 1,
        date=str(body["date"]),
        of_date=str(before.body["date"]),
        of_head=str(before.body["head"]),
        of_sha256=str(before.body["sha256"]),
        because=str(body.get("because", "")),
        changes=tuple(str(one) for one in changes) if isinstance(changes, list) else (),
    )

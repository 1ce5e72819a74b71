"""A certificate is given: kept in the record with its number, and never silently another one in its place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from bench.records.attachments import attachments_folder, keep_bytes, kept_bytes
from bench.records.certificate.changes import changes_between, say_the_same
from bench.records.certificate.facts import Facts, facts_of
from bench.records.certificate.given import Given, amendment_to, given_before, well_told
from bench.records.certificate.page import page
from bench.records.certificate.paper import paper
from bench.records.entry import Entry, Kind
from bench.records.store import Store

__all__ = ["Form", "Gift", "ReasonWanting", "give"]


class Form(StrEnum):
    """On paper, or as a web page."""

    PAPER = "pdf"
    PAGE = "html"


class ReasonWanting(ValueError):
    """It would amend one that was given, and nobody said why.  date: of that one."""

    def __init__(self, date: str, changes: tuple[str, ...]) -> None:
        super().__init__(f"the certificate of {date} would be amended: {'; '.join(changes)}")
        self.date = date


@dataclass(frozen=True)
class Gift:
    """contents: of the file;  copy: whether it is, to the bit, one that was given before;  notes: what to tell the
    person beside it."""

    given: Given
    contents: bytes
    copy: bool
    notes: tuple[str, ...] = ()


def today() -> str:
    """The day, UTC."""
    return datetime.now(UTC).date().isoformat()


def give(store: Store, number: str, form: Form, name: str, because: str = "", day: Callable[[], str] = today) -> Gift:
    """The certificate of the last finished test; name: of the file that it will be;  because: why one that was given
    is amended.

    Where nothing that it says is other than in the last one given, that one is given again: the kept file where there
    is one of this form, else the same certificate in this form.  Raises NoTestYet; ReasonWanting; OSError where it
    can't be kept; RecordProblem.
    """
    earlier = well_told(store.entries(number, Kind.CERTIFICATE))
    before = given_before(earlier)
    facts = facts_of(store, number)
    if before is None:
        return _give(store, facts, Given(1, day()), form, {"name": name})
    last = [one for one in earlier if one.body["number"] == before.number]
    as_it_was = facts_of(store, number, _head_of(last[0]))
    if say_the_same(as_it_was, facts):
        return _again(store, as_it_was, before, form, name, last)
    changes = changes_between(as_it_was, facts)
    if not because:
        raise ReasonWanting(before.date, changes)
    told = {"because": because, "changes": list(changes)}
    body = {"name": name, "number": before.number + 1, "date": day(), **told}
    amended = (*before.amendments, amendment_to(last[0], body))
    given = Given(before.number + 1, str(body["date"]), amended)
    return _give(store, facts, given, form, {"name": name, "amends": last[0].seq, **told})


def _again(store: Store, facts: Facts, given: Given, form: Form, name: str, last: list[Entry]) -> Gift:
    """The one that was given: its file, or the same in another form."""
    alike = [one for one in last if one.body["form"] == form]
    for one in alike:
        kept = kept_bytes(attachments_folder(store.path), one.body)
        if kept is not None:
            return Gift(given, kept, copy=True)
    gift = _give(store, facts, given, form, {"name": name})
    if not alike:
        return gift
    lost = f"the file of certificate {given.number} is not kept whole any more: it was set anew from the record"
    return Gift(given, gift.contents, copy=False, notes=(lost, *gift.notes))


def _give(store: Store, facts: Facts, given: Given, form: Form, told: dict[str, Any]) -> Gift:
    """Set, kept beside the record, and told in it, in this order: an entry always has its file."""
    contents = paper(facts, given) if form is Form.PAPER else page(facts, given).encode()
    kept = keep_bytes(attachments_folder(store.path), contents, f".{form}")
    store.append(
        facts.identity.number,
        Kind.CERTIFICATE,
        {
            "number": given.number,
            "date": given.date,
            "form": str(form),
            "head": facts.hash,
            "head_entry": facts.entry,
            "verdict": facts.verdict,
            **kept,
            **told,
        },
    )
    return Gift(given, contents, copy=False)


def _head_of(one: Entry) -> tuple[int, str]:
    return int(one.body["head_entry"]), str(one.body["head"])

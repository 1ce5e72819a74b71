"""Whether a test begins, or goes on where it was broken off, by what the record holds of it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry, Kind
from bench.records.moments import minute
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.acceptance.phases import Phase
    from bench.acceptance.recall import Recall
    from bench.records.store import Store

__all__ = ["changed_since", "finished", "of_last_test", "sit_down"]

_CHANGES = (Kind.WINDING_BEGUN, Kind.COUNT, Kind.LAYER, Kind.RESTACK, Kind.VARNISH)
"""After one of these it is another unit that is tested, or the same one changed."""


def sit_down(
    store: Store,
    number: str,
    procedure: str,
    phases: Sequence[Phase],
    say: Callable[[str], None],
    *,
    anew: bool,
    again: Sequence[str],
    told: Mapping[str, Any] | None = None,
) -> Recall:
    """What earlier sittings of the test that goes on now have kept; nothing where it begins.

    say: told in a line what goes on;  again: steps to be read once more, of a test that may be finished;  told: what
    else the entry of this sitting holds.  Raises BadInput.
    """
    from bench.acceptance.recall import Recall

    entries = of_last_test(store.landmarks(number))
    begun = entries[0] if entries else None
    if again and (anew or begun is None or begun.body.get("procedure") != procedure):
        kept = "--anew begins from nothing" if anew else f"no test by {procedure!r} is kept"
        raise BadInput(f"--again {again[0]}: {kept}, expected without --again")
    goes_on = begun is not None and not anew and begun.body.get("procedure") == procedure
    if not goes_on or (not again and (changed_since(entries) or finished(entries))):
        store.append(number, Kind.TEST_BEGUN, {"procedure": procedure, **(told or {})})
        return Recall()
    assert begun is not None
    names = _phases_again(again, phases, entries)
    store.append(number, Kind.TEST_GO, {"procedure": procedure, "again": names, **(told or {})})
    recall = Recall(((one.kind, one.body) for one in of_last_test(store.landmarks(number))), clock=time.monotonic)
    what = f"reading {', '.join(names)} again" if names else "going on"
    say(f"{what} in the test begun {minute(begun.at)}: {recall.answers} answers are kept")
    return recall


def of_last_test(entries: Iterable[Entry]) -> list[Entry]:
    """From where it began."""
    last: list[Entry] = []
    for one in entries:
        if one.kind == Kind.TEST_BEGUN:
            last = [one]
        elif last:
            last.append(one)
    return last


def changed_since(entries: Sequence[Entry]) -> bool:
    return any(one.kind in _CHANGES for one in entries)


def finished(entries: Sequence[Entry]) -> bool:
    """Whether the last sitting came to a result that nobody broke off."""
    from bench.acceptance.result import broke_off

    result: dict[str, Any] | None = None
    for one in entries:
        if one.kind in (Kind.TEST_BEGUN, Kind.TEST_GO):
            result = None
        elif one.kind == Kind.RESULT:
            result = one.body
    if result is None:
        return False
    return not any(broke_off(str(one.get("reason", ""))) for one in result.get("not_done") or ())


def _phases_again(again: Sequence[str], phases: Sequence[Phase], entries: Sequence[Entry]) -> list[str]:
    """What is asked anew: a step of the dead unit by itself, a whole step of the procedure where volts are fed.

    Readings at one excitation belong together: one of them alone would be compared with volts of another day.
    """
    by_name = {phase.name: phase for phase in phases}
    found: list[str] = []
    for name in again:
        if name in by_name:
            found.append(name)
            continue
        places = {
            str(one.body["place"][0])
            for one in entries
            if "place" in one.body and name in (one.body["place"][2], one.body.get("step"))
        }
        if not places:
            known = ", ".join(by_name)
            raise BadInput(f"--again {name}: no such step in this test, expected one of {known}, or a step's id")
        found += [place if by_name[place].about.feeds else name for place in sorted(places) if place in by_name]
    return sorted(set(found))

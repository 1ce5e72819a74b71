"""Where the test of a job stands by its record: what a person is told before one is begun, or gone on with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.entry import Kind
from bench.sitting.sit_down import changed_since, finished, of_last_test

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["TestStands", "test_stands"]


@dataclass(frozen=True)
class TestStands:
    """Of the last test.  begun, ended: UTC, ISO 8601;  steps: how many are kept;  verdict: empty where it came to none;
    goes_on: whether beginning goes on with it;  changed: whether the unit was wound, restacked or varnished since."""

    __test__ = False

    begun: str
    ended: str
    steps: int
    verdict: str
    goes_on: bool
    changed: bool


def test_stands(store: Store, number: str) -> TestStands | None:
    """None where there was no test yet; raises RecordProblem."""
    entries = of_last_test(store.landmarks(number))
    if not entries:
        return None
    results = [one for one in entries if one.kind == Kind.RESULT]
    steps = {str(one.body.get("id")) for one in entries if one.kind == Kind.STEP}
    changed, done = changed_since(entries), finished(entries)
    return TestStands(
        begun=entries[0].at,
        ended=results[-1].at if results else "",
        steps=len(steps),
        verdict=str(results[-1].body.get("verdict", "")) if results else "",
        goes_on=not changed and not done,
        changed=changed,
    )


test_stands.__test__ = False  # type: ignore[attr-defined]

"""Entries that were kept elsewhere, taken over as they are."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bench.records.entry import Kind
from bench.records.problem import RecordDiverged, RecordProblem
from bench.records.store import Store

JOB = "TP-0042"


@pytest.fixture
def there(tmp_path: Path) -> Store:
    store = Store(tmp_path / "there.sqlite")
    for turns in range(4):
        store.append(JOB, Kind.COUNT, {"turns": turns, "unit": "Ω·m, \u2028 \U0001f600"})
    return store


@pytest.fixture
def here(tmp_path: Path) -> Store:
    return Store(tmp_path / "here.sqlite")


def test_the_chain_stays_the_same_and_goes_on(there: Store, here: Store) -> None:
    assert here.take(there.entries(JOB)) == 4
    assert here.head(JOB) == there.head(JOB)
    assert here.append(JOB, Kind.NOTE, {"text": "gone on with"}).seq == 5
    assert not here.verify(JOB)


def test_what_is_here_is_passed_over(there: Store, here: Store) -> None:
    entries = there.entries(JOB)
    here.take(entries[:2])
    assert here.take(entries) == 2
    assert here.take(entries) == 0
    assert here.take(entries[2:]) == 0
    assert here.count(JOB) == 4


def test_a_job_gone_on_with_at_two_places_is_not_mixed(there: Store, here: Store) -> None:
    here.take(there.entries(JOB)[:2])
    mine = here.append(JOB, Kind.NOTE, {"text": "here"})
    with pytest.raises(RecordDiverged, match=rf"{JOB}: entry 3 is another one here"):
        here.take(there.entries(JOB))
    assert here.entries(JOB)[-1] == mine
    assert here.count(JOB) == 3


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda all_: [*all_[:2], replace(all_[2], body={"turns": 99}), all_[3]], "entry 3 .count. was altered"),
        (lambda all_: [*all_[:2], all_[3]], "entry 3 is missing"),
        (lambda all_: all_[1:], "entry 1 is missing"),
        (lambda all_: [*all_[:2], replace(all_[2], previous="f" * 64)], "entry 3 does not follow the entry before it"),
        (lambda all_: [*all_[:2], replace(all_[2], at="2001-01-01")], "entry 3 .count. was altered"),
    ],
)
def test_of_a_broken_chain_nothing_is_taken(there: Store, here: Store, change, said: str) -> None:
    with pytest.raises(RecordProblem, match=said):
        here.take(change(there.entries(JOB)))
    assert here.count(JOB) == 0

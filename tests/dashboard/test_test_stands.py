"""Where a job's test stands by its record, before one is begun."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench.dashboard.acceptance.start_page import standing_words
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.test_stands import test_stands as stands_of

BEGUN = (Kind.TEST_BEGUN, {"procedure": "whole"})
STEPS = ((Kind.STEP, {"id": "ratio:ht"}), (Kind.STEP, {"id": "ratio:heater"}))
RESULT = (Kind.RESULT, {"verdict": "rejected", "steps": [], "findings": [], "not_done": []})
STOPPED = (
    Kind.RESULT,
    {"verdict": "incomplete", "steps": [], "findings": [], "not_done": [{"id": "x", "reason": "stopped: tea"}]},
)
WOUND = (Kind.WINDING_BEGUN, {"winding": "heater", "target": 19})


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "r.sqlite") as made:
        yield made


def _words(store: Store, *entries: tuple[Kind, dict[str, Any]]) -> str:
    for kind, body in entries:
        store.append("J-1", kind, body)
    return standing_words(stands_of(store, "J-1"))


def test_nothing_is_kept_yet(store: Store) -> None:
    assert _words(store, (Kind.NOTE, {"text": "x"})) == "No test of it is kept yet"


def test_one_that_was_killed_goes_on_with_what_it_has(store: Store) -> None:
    words = _words(store, BEGUN, *STEPS, STEPS[0])
    assert words.startswith("A test begun ")
    assert words.endswith("goes on: 2 steps are kept")


def test_one_that_a_person_stopped_goes_on(store: Store) -> None:
    assert "goes on: 2 steps are kept" in _words(store, BEGUN, *STEPS, STOPPED)


def test_one_that_came_to_its_end_says_how_it_ended(store: Store) -> None:
    words = _words(store, BEGUN, *STEPS, RESULT)
    assert words.startswith("Tested ")
    assert words.endswith(": REJECTED, 2 steps")
    assert "goes on" not in words


def test_what_was_wound_since_is_said(store: Store) -> None:
    assert _words(store, BEGUN, *STEPS, RESULT, WOUND).endswith("REJECTED, 2 steps; changed since")


def test_one_that_was_left_before_the_unit_was_changed_does_not_go_on(store: Store) -> None:
    assert _words(store, BEGUN, STEPS[0], WOUND) == "The last test was left, 1 step; changed since"

"""The record of thousands of counts as a person can read it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from tests.cli.conftest import Ended

Run = Callable[..., Ended]


def count(winding: str, turns: float) -> tuple[Kind, dict[str, Any]]:
    return Kind.COUNT, {"winding": winding, "turns": turns, "raw": "hall"}


@pytest.fixture
def counted(home: object) -> str:
    entries = [
        *(count("ht", turns) for turns in (0.0, 1.0, 2.0)),
        (Kind.COUNT_EVENT, {"winding": "ht", "event": "Bridged", "lines": 2}),
        count("ht", 5.0),
        (Kind.WINDING_GO, {"winding": "heater", "target": 19, "go": 1}),
        *(count("heater", turns) for turns in (0.0, 19.0)),
        (Kind.STRIP_GO, {"winding": "ht", "off": 0.0}),
        *((Kind.STRIP_COUNT, {"winding": "ht", "off": off, "position": -off}) for off in (0.0, 7.5)),
        (Kind.STRIP_GO, {"winding": "ht", "off": 7.5}),
    ]
    with Store(store_path()) as store:
        for kind, body in entries:
            store.append("C-1", kind, body)
    return "C-1"


def test_counts_that_follow_each_other_are_one_line_with_first_last_and_how_many(run: Run, counted: str) -> None:
    lines = run("record", counted).out.splitlines()
    assert [line.split()[4] for line in lines[:-1]] == [
        "count", "count", "count", "winding", "count", "strip", "strip", "strip"
    ]  # fmt: skip
    assert lines[0].split()[0] == "1"
    assert re.search(
        r"winding ht, 3 counts to entry 3 at \d\d:\d\d:\d\d, turns 0.0 to 2.0; --all shows each$", lines[0]
    )
    assert re.search(r"winding heater, 2 counts to entry 8 at \S+, turns 0.0 to 19.0", lines[4])
    assert re.search(r"winding ht, 2 counts to entry 11 at \S+, off 0.0 to 7.5", lines[6])


def test_every_count_is_shown_where_that_is_asked_for_and_always_in_json(run: Run, counted: str) -> None:
    assert len(run("record", counted, "--all").out.splitlines()) == 13
    assert len(json.loads(run("record", counted, "--json").out)["entries"]) == 12

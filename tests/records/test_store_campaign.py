"""The campaign of the store with a few of each: what a real process printed as stored is there after it was killed."""

from __future__ import annotations

import shutil
from collections.abc import Callable

import pytest

from tests.campaigns.store.clock_back import clock_back
from tests.campaigns.store.disk_full import file_limited
from tests.campaigns.store.killed import killed_while_writing
from tests.campaigns.store.log_damaged import (
    cut,
    log_damaged_anywhere,
    log_ends_in_the_entry_being_written,
    torn,
)
from tests.campaigns.store.not_writable import one_not_writable
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.two_programs import two_programs

_CASES: dict[str, Callable[[], Outcome]] = {
    "killed": lambda: killed_while_writing(2, 1),
    "cut": lambda: log_ends_in_the_entry_being_written("log cut", cut, 3, 1),
    "torn": lambda: log_ends_in_the_entry_being_written("log torn", torn, 3, 1),
    "cut anywhere": lambda: log_damaged_anywhere("log cut", cut, 2, 1),
    "no file may grow": lambda: file_limited(1, 1),
    "programs": lambda: two_programs(1, 1, seconds=0.6),
    "clock": lambda: clock_back(1, steps=1),
}


@pytest.mark.parametrize("case", _CASES)
def test_nothing_that_was_shown_as_stored_is_lost_and_what_is_said_is_one_line(case: str) -> None:
    outcome = _CASES[case]()
    assert outcome.lost == []
    assert outcome.unclear == []
    assert outcome.stored > 0


@pytest.mark.skipif(
    shutil.which("setpriv") is None, reason="a read-only record NOT run: setpriv of util-linux is missing"
)
def test_a_record_that_may_not_be_written_is_read_by_the_command() -> None:
    outcome = one_not_writable("both", killed=True, version=1, seed=1)
    assert outcome.lost == []
    assert outcome.unclear == []

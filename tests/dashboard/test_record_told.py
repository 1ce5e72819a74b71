"""What is found wrong with the record when it is opened, on the window's line and on a terminal's screen."""

from __future__ import annotations

import logging
from functools import partial

from bench.dashboard.desk import Desk
from bench.dashboard.news import Said
from bench.job.bench_file import BenchFile
from bench.sitting.told import TOLD, told_to


def test_it_is_seen_on_the_windows_line_once() -> None:
    desk = Desk(BenchFile.model_validate({"schema": 1}))
    with told_to(partial(desk.tell_from_elsewhere, grave=True)):
        TOLD.warning("records.sqlite: 3 stored entries were missing")
        TOLD.warning("records.sqlite: 3 stored entries were missing")
        state = desk.tick()
    desk.close()
    assert state.said == (Said("records.sqlite: 3 stored entries were missing", grave=True),)


def test_meanwhile_it_goes_nowhere_else_and_afterwards_where_it_went_before() -> None:
    first, second = list[str](), list[str]()
    handler = logging.StreamHandler()
    handler.emit = lambda record: first.append(record.getMessage())  # type: ignore[method-assign]
    TOLD.addHandler(handler)
    try:
        with told_to(second.append):
            TOLD.warning("inside")
        TOLD.warning("after")
    finally:
        TOLD.removeHandler(handler)
    assert (first, second) == (["after"], ["inside"])

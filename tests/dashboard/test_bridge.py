"""The bridge between the worker and the window."""

from __future__ import annotations

import pytest

from bench.acceptance.requests import StepDone, Take
from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge, Closed
from drivers.reading import Quantity
from tests.dashboard.given import CONNECT, job, progress, reading, step


def _bridge() -> Bridge:
    return Bridge(clock=lambda: 5.0)


def test_news_come_out_in_order_with_their_time() -> None:
    bridge = _bridge()
    bridge.begun(job(), "primary")
    bridge.progressed(progress(1.0))
    bridge.asked(CONNECT)
    bridge.asked(Take("ratio:ht", Quantity.VOLTAGE_AC, 9.0))
    bridge.settling("ratio:ht", 8.999, "settling")
    bridge.reading_taken("ratio:ht", reading())
    bridge.step_done(step("ratio:ht"))
    assert bridge.drain() == [
        (told.WindingBegun(job(), "primary"), 5.0),
        (told.Progressed(progress(1.0)), 5.0),
        (told.Asked(CONNECT), 5.0),
        (told.Taking("ratio:ht", Quantity.VOLTAGE_AC), 5.0),
        (told.Settling("8.999 V", "settling"), 5.0),
        (told.ReadingTaken("ratio:ht", reading()), 5.0),
        (told.StepDone(step("ratio:ht")), 5.0),
    ]
    assert bridge.drain() == []


def test_a_step_is_told_once_although_the_session_tells_it_twice() -> None:
    bridge = _bridge()
    bridge.asked(StepDone(step("ratio:ht")))
    assert bridge.drain() == []


def test_a_window_that_can_not_keep_up_loses_counts_only_and_stops_nobody() -> None:
    bridge = _bridge()
    for turn in range(5000):
        bridge.progressed(progress(float(turn % 600)))
    assert len(bridge.drain()) == 4096


@pytest.mark.parametrize(
    "call",
    [
        lambda bridge: bridge.begun(job(), "primary"),
        lambda bridge: bridge.progressed(progress(1.0)),
        lambda bridge: bridge.asked(CONNECT),
        lambda bridge: bridge.asked(StepDone(step("ratio:ht"))),
        lambda bridge: bridge.instrument("meter", "x: open"),
        lambda bridge: bridge.step_done(step("ratio:ht")),
        lambda bridge: bridge.suspected((), ()),
        lambda bridge: bridge.settling("ratio:ht", None, "settling"),
    ],
)
def test_after_closing_every_call_ends_the_worker(call: object) -> None:
    bridge = _bridge()
    bridge.close()
    with pytest.raises(Closed):
        call(bridge)  # type: ignore[operator]

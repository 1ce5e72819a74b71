"""A winding from its first turn to its last, with all that can come between: invented counts of the example job."""

from __future__ import annotations

from collections.abc import Callable

from bench.dashboard import news as told
from bench.dashboard.pictures.still_desk import NOW
from bench.dashboard.state import Snapshot, advance
from bench.design.plan import WindingPlan, plan_of
from bench.winding.course import Course, course_of
from bench.winding.progress import Progress, progress_of
from bench.winding.sides import WindingResult
from drivers.counter import LinkWentAway
from drivers.counting import BadLine, Bounded, Bridged, Broken, Corrected, Count

__all__ = ["WINDING", "after", "progress"]

_PORT = "hall@/dev/serial/by-id/usb-Example_Works_Turn_Board_R1_0007-if00"
_BOARD = "hall hello turnproof-1 sensors=2 magnets=2 boot=7 board=R1"
Told = Callable[[Snapshot], tuple[told.News, ...]]


def after(start: Snapshot, *news: told.News, at: float = NOW) -> Snapshot:
    """The snapshot after these pieces of news."""
    for each in news:
        start = advance(start, each, at)
    return start


def progress(
    start: Snapshot, turns: float, *, winding: str = "primary", low: float | None = None, high: float | None = None,
    speed: float = 7.0, left_out: float | None = None, waiting: tuple[str, ...] = (),
) -> Progress:  # fmt: skip
    """Where a winding of the open job stands."""
    assert start.job is not None
    wanted = start.job.get_winding(winding)
    assert wanted.turns is not None
    count = Count(turns, turns if low is None else low, turns if high is None else high, speed, NOW)
    course: Course = course_of(wanted, wanted.turns, _plan(start))
    return progress_of(wanted, wanted.turns, count, course, left_out=left_out, waiting=waiting, pace=max(0.0, speed))


def _plan(start: Snapshot) -> WindingPlan | None:
    assert start.job is not None
    try:
        return plan_of(start.job)
    except ValueError:
        return None


def _begun(start: Snapshot) -> tuple[told.News, ...]:
    assert start.job is not None
    return (
        told.WorkBegun("winding"),
        told.WindingBegun(start.job, "primary"),
        told.InstrumentsChosen("counter", (("", _PORT),)),
        told.InstrumentOpened("counter", _PORT),
        told.InstrumentSaid("counter", _BOARD),
    )


def _at(turns: float, **given: float) -> Told:
    """At so many turns of the primary; the rest as `progress` has it."""
    return lambda start: (*_begun(start), told.Progressed(progress(start, turns, **given)))  # type: ignore[arg-type]


def _unsure(start: Snapshot) -> tuple[told.News, ...]:
    why = "the board began again and turns may have gone by unseen"
    return (
        *_begun(start),
        told.CountEvent(Bounded(655.0, 664.5, why, NOW)),
        told.Progressed(progress(start, 660.0, low=655.0, high=664.5)),
    )


def _lost_count(start: Snapshot) -> tuple[told.News, ...]:
    return (
        *_begun(start),
        told.CountEvent(Broken("another board answers at this port", NOW)),
        told.Progressed(progress(start, 300.0, low=float("-inf"), high=float("inf"))),
    )


def _line_away(start: Snapshot) -> tuple[told.News, ...]:
    return (
        *_at(264.9)(start),
        told.CountEvent(Bridged(2, "the board's own count went on", NOW)),
        told.CountEvent(LinkWentAway("/dev/ttyACM0: the line went away", NOW)),
    )


def _much_happened(start: Snapshot) -> tuple[told.News, ...]:
    return (
        *_at(512.3)(start),
        told.CountEvent(BadLine("", "its check sum is wrong", NOW)),
        told.CountEvent(Corrected(None, 512.0, "counted again by hand, with the glass", NOW)),
        told.CountEvent(Bridged(1, "the board's own count went on", NOW)),
    )


def _ended(start: Snapshot) -> tuple[told.News, ...]:
    last = progress(start, 662.0, speed=0.0)
    return (*_begun(start), told.Progressed(last), told.WindingOver(WindingResult(last)), told.WorkEnded("winding"))


WINDING: dict[str, tuple[Told, float]] = {
    "before the first line": (_begun, 0.2),
    "in the middle": (_at(411.4), 0.2),
    "at rest": (_at(88.0, speed=0.0), 0.2),
    "backwards": (_at(411.4, speed=-1.0), 0.2),
    "nearly there": (_at(654.4, speed=2.0), 0.2),
    "at target": (_at(662.1, speed=0.0), 0.2),
    "past target": (_at(666.1), 0.2),
    "on hold": (_at(176.0, speed=0.0, left_out=3.5), 0.2),
    "count unsure": (_unsure, 0.2),
    "count lost": (_lost_count, 0.2),
    "counter silent": (_at(264.9), 8.0),
    "counter away": (_line_away, 42.0),
    "much happened": (_much_happened, 0.2),
    "done": (_ended, 0.2),
}
"""By name: the news, and how long after the last of them [s] it is looked at."""

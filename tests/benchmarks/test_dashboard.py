"""What a frame of the window costs, and its share of a core, with ten thousand and with a million stored points."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.state import advance
from bench.dashboard.window import Window
from bench.job.file import read_job
from bench.winding.progress import progress_of
from drivers.counting import Count
from drivers.reading import Quantity
from tests.dashboard.at_speed import WINDING, at_speed, fill_record, frame, job_of_many_turns, open_window, spin

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytestmark = pytest.mark.benchmark

FEW, MANY = 10_000, 1_000_000
RPM = 3000.0
SECONDS = float(os.environ.get("TURNPROOF_BENCHMARK_SECONDS", "60"))
MOST_SHARE = 0.25
_SIZES = [pytest.param(FEW, "reference", id="few"), pytest.param(MANY, "ours", id="many")]
_WHAT = f"the same with {FEW} points"
_WINDING = f"a frame of the window while it is wound, {MANY} counts before it"
_TEST = f"a frame of the window while a reading settles, {MANY} values before it"
_RECORD = f"a frame of the window over a record of {MANY} entries"
_SHARE = f"CPU of the window in {SECONDS:g} s, a counter at {RPM:g} rpm, a record of {MANY} entries"


def _role(benchmark: Any, role: str) -> None:
    benchmark.extra_info.update(role=role, what=_WHAT)


class _Filled:
    """A window over a record of so many entries; `feed` tells the desk one more thing, of a kind that comes often."""

    def __init__(self, desk: Desk, window: Window) -> None:
        self.desk, self.window = desk, window

    def feed(self, news: told.News) -> None:
        self.desk.state = advance(self.desk.state, news, time.monotonic())


@pytest.fixture
def filled(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: object, request: pytest.FixtureRequest
) -> Iterator[_Filled]:
    monkeypatch.setenv("TURNPROOF_HOME", str(_home(number, request)))
    job = job_of_many_turns(tmp_path)
    with open_window(job) as (desk, window):
        yield _Filled(desk, window)


def _home(number: int, request: pytest.FixtureRequest) -> Path:
    """Made once a size: a million entries are chained in half a minute."""
    made: dict[int, Path] = request.config.__dict__.setdefault("_filled_homes", {})
    if number not in made:
        factory: pytest.TempPathFactory = request.getfixturevalue("tmp_path_factory")
        home = factory.mktemp(f"home-{number}")
        before = os.environ.get("TURNPROOF_HOME")
        os.environ["TURNPROOF_HOME"] = str(home)
        try:
            fill_record(read_job(job_of_many_turns(home)).identity.number, number)
        finally:
            if before is None:
                del os.environ["TURNPROOF_HOME"]
            else:
                os.environ["TURNPROOF_HOME"] = before
        made[number] = home
    return made[number]


def _time_frames(benchmark: Any, filled: _Filled, more: Callable[[int], told.News]) -> None:
    """Each frame has something new to show."""
    count = 0

    def one() -> None:
        nonlocal count
        count += 1
        filled.feed(more(count))
        frame(filled.desk, filled.window)

    benchmark.pedantic(one, rounds=150, warmup_rounds=20)


@pytest.mark.benchmark(group=_WINDING)
@pytest.mark.parametrize(("number", "role"), _SIZES)
def test_winding(benchmark: Any, filled: _Filled, number: int, role: str) -> None:
    _role(benchmark, role)
    job = filled.desk.state.job
    assert job is not None
    winding = job.get_winding(WINDING)
    assert winding.turns is not None
    target = winding.turns

    def counted(turns: float) -> told.News:
        return told.Progressed(progress_of(winding, target, Count(turns, turns, turns, 50.0, time.monotonic())))

    filled.feed(told.WorkBegun("winding"))
    filled.feed(told.WindingBegun(job, WINDING))
    for place in range(number):
        filled.feed(counted(0.05 * (place % 1000)))
    _time_frames(benchmark, filled, lambda count: counted(100.0 + 0.5 * count))


@pytest.mark.benchmark(group=_TEST)
@pytest.mark.parametrize(("number", "role"), _SIZES)
def test_settling(benchmark: Any, filled: _Filled, number: int, role: str) -> None:
    _role(benchmark, role)

    def shown(place: int) -> told.News:
        value = 6.5 + 0.001 * (place % 7)
        return told.Settling(f"{value:.4g} V", "settling", value)

    filled.feed(told.WorkBegun("test"))
    filled.feed(told.Taking("open_circuit:heater", Quantity.VOLTAGE_AC))
    for place in range(number):
        filled.feed(shown(place))
    _time_frames(benchmark, filled, shown)


@pytest.mark.benchmark(group=_RECORD)
@pytest.mark.parametrize(("number", "role"), _SIZES)
def test_record(benchmark: Any, filled: _Filled, number: int, role: str) -> None:
    _role(benchmark, role)
    filled.window.look_at(len(filled.window.faces) - 1)
    for _ in range(200):
        frame(filled.desk, filled.window)
        spin(0.02)
    _time_frames(benchmark, filled, lambda count: told.Said(f"line {count}"))


@pytest.mark.benchmark(group=_SHARE, timer=time.process_time)
@pytest.mark.parametrize(("number", "role"), _SIZES)
def test_cpu_share(
    benchmark: Any, number: int, role: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: object,
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    """Of all threads of the window's process; the rehearsal is another."""
    _role(benchmark, role)
    monkeypatch.setenv("TURNPROOF_HOME", str(_home(number, request)))
    with ExitStack() as things:
        running = things.enter_context(at_speed(tmp_path))
        running.wind(RPM / 60 * (SECONDS + 30), RPM)
        spin(3.0)
        before, wall = running.turns, time.monotonic()
        benchmark.pedantic(spin, args=(SECONDS,), rounds=1)
        wall = time.monotonic() - wall
        wound = running.turns - before
        running.leave()
    share = benchmark.stats.stats.median / wall
    benchmark.extra_info["share"] = share
    assert wound > 0.9 * RPM / 60 * SECONDS
    assert share <= MOST_SHARE

"""Draws the dashboard to a file, offscreen, from a real run of the demo: for the guide, and for looking at it."""

from __future__ import annotations

import argparse
import os
import re
import sys
import tempfile
import time
from pathlib import Path

from bench.dashboard.parts.theme import Theme
from bench.dashboard.state import Snapshot, advance
from bench.dashboard.work.bridge import Bridge, Closed
from bench.demo.rehearsal_process import RehearsalFailed
from bench.demo.run import DemoPlan, run_demo
from bench.job.profiles import example_job
from bench.winding.progress import Progress
from drivers.reading import Reading

__all__ = ["main", "snapshot_at"]

_SPEED = 40.0
_WINDING_SHARE = 0.62
_STEPS_SHARE = 0.6


class _Until(Bridge):
    """A bridge that makes its snapshot itself and breaks the demo off where the picture is to be taken."""

    def __init__(self, stage: str) -> None:
        super().__init__()
        self._until = stage
        self.state = Snapshot()

    def progressed(self, progress: Progress) -> None:
        super().progressed(progress)
        self._take_in()
        if self._until == "winding" and progress.turns >= _WINDING_SHARE * progress.target:
            raise Closed

    def reading_taken(self, step: str, reading: Reading) -> None:
        super().reading_taken(step, reading)
        self._take_in()
        enough = len(self.state.results) >= _STEPS_SHARE * len(self.state.plan)
        if self._until == "test" and enough and self.state.live:
            raise Closed

    def _take_in(self) -> None:
        for news, at in self.drain():
            self.state = advance(self.state, news, at)

    def ended(self) -> Snapshot:
        self._take_in()
        return self.state


def snapshot_at(stage: str, faults: tuple[str, ...], job: str, seed: int) -> Snapshot:
    """What the dashboard knows in the middle of the winding, in the middle of the test, or at the end."""
    until = _Until(stage)
    with tempfile.TemporaryDirectory(prefix="turnproof-picture-") as folder:
        plan = DemoPlan(example_job(job), Path(folder), faults=faults, seed=seed, speed=_SPEED)
        try:
            run_demo(plan, (until,))
        except Closed:
            return until.ended()
    return until.ended()


def main(arguments: list[str]) -> int:
    """`python -m bench.dashboard.picture OUT.png [--size 1280x800] [--stage winding|test|end] [--fault ...]`, or
    `--all FOLDER [--theme light|dark] [--only WORDS]` for every face in every state."""
    parser = argparse.ArgumentParser(prog="python -m bench.dashboard.picture", description=__doc__)
    parser.add_argument("out", type=Path, help="a .png, or with --all a folder")
    parser.add_argument("--all", action="store_true", help="every face in every state, without a rehearsal")
    parser.add_argument("--theme", choices=tuple(Theme), default=Theme.LIGHT, help="with --all")
    parser.add_argument("--only", default="", metavar="WORDS", help="with --all: such as 'test: live'")
    parser.add_argument("--size", default="1280x800", help="width x height in pixels")
    parser.add_argument("--stage", default="end", choices=("winding", "test", "end"))
    parser.add_argument("--fault", action="append", default=[], metavar="NAME[:WINDING][=SIZE]")
    parser.add_argument("--job", default="coastal-receiver")
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args(arguments)
    size = re.fullmatch(r"(\d{3,4})x(\d{3,4})", asked.size)
    if size is None:
        parser.error(f"--size {asked.size}: expected such as 1280x800")
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    if asked.all:
        return _draw_all(asked.out, (int(size[1]), int(size[2])), asked.theme, asked.only)
    try:
        state = snapshot_at(asked.stage, tuple(asked.fault), asked.job, asked.seed)
    except RehearsalFailed as problem:
        parser.error(str(problem))
    _draw(state, int(size[1]), int(size[2]), asked.out)
    return 0


def _draw_all(folder: Path, size: tuple[int, int], theme: str, only: str) -> int:
    from bench.dashboard.pictures.gallery import draw_all

    try:
        drawn = draw_all(folder, size, Theme(theme), only)
    except OSError as problem:
        raise SystemExit(str(problem)) from None
    print(f"{len(drawn)} pictures; {folder / 'index.html'} shows them")
    return 0


def _draw(state: Snapshot, wide: int, high: int, out: Path) -> None:
    from bench.dashboard.application import the_application
    from bench.dashboard.pictures.few_colours import few_colours
    from bench.dashboard.window import Window

    application = the_application()
    window = Window(f"rehearsal on simulated instruments,\n{_SPEED:g} times life")
    window.resize(wide, high)
    window.show()
    window.show_state(state, _moment_of(state))
    # A part that appears asks its parents for room one after the other, each in a turn of its own.
    for _ in range(8):
        application.processEvents()
    if not few_colours(window.grab().toImage()).save(str(out)):
        raise SystemExit(f"{out}: can't be written, expected a .png in a folder that exists")
    window.close()


def _moment_of(state: Snapshot) -> float:
    """Just after the last word of either instrument, as if the picture had been taken then."""
    heard = [each.heard_at for each in (state.counter, state.meter) if each.heard_at is not None]
    return max(heard) + 0.2 if heard else time.monotonic()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

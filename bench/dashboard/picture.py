"""Draws the dashboard to a file, offscreen, from a real run of the demo: for the guide, and for looking at it."""

from __future__ import annotations

import argparse
import os
import re
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from bench.dashboard.state import Snapshot, advance
from bench.dashboard.work.bridge import Bridge, Closed
from bench.demo.rehearsal_process import RehearsalFailed
from bench.demo.run import DemoPlan, run_demo
from bench.job.profiles import example_job
from bench.winding.progress import Progress
from drivers.reading import Reading

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

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
    """`python -m bench.dashboard.picture OUT.png [--size 1280x800] [--stage winding|test|end] [--fault ...]`"""
    parser = argparse.ArgumentParser(prog="python -m bench.dashboard.picture", description=__doc__)
    parser.add_argument("out", type=Path)
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
    try:
        state = snapshot_at(asked.stage, tuple(asked.fault), asked.job, asked.seed)
    except RehearsalFailed as problem:
        parser.error(str(problem))
    _draw(state, int(size[1]), int(size[2]), asked.out)
    return 0


def _draw(state: Snapshot, wide: int, high: int, out: Path) -> None:
    from bench.dashboard.application import the_application
    from bench.dashboard.window import Window

    application = the_application()
    window = Window(f"rehearsal on simulated instruments,\n{_SPEED:g} times life")
    window.resize(wide, high)
    window.show()
    window.show_state(state, _moment_of(state))
    # A part that appears asks its parents for room one after the other, each in a turn of its own.
    for _ in range(8):
        application.processEvents()
    if not _few_colours(window.grab().toImage()).save(str(out)):
        raise SystemExit(f"{out}: can't be written, expected a .png in a folder that exists")
    window.close()


def _few_colours(image: QImage) -> QImage:
    """The same picture in its 256 most frequent colours: a quarter of the file, and nobody sees the difference."""
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(plain.constBits(), np.uint32)
    colours, count = np.unique(pixels, return_counts=True)
    table = [int(colour) for colour in colours[np.argsort(-count)][:256]]
    return plain.convertToFormat(QImage.Format.Format_Indexed8, table, Qt.ImageConversionFlag.AvoidDither)


def _moment_of(state: Snapshot) -> float:
    """Just after the last word of either instrument, as if the picture had been taken then."""
    heard = [each.heard_at for each in (state.counter, state.meter) if each.heard_at is not None]
    return max(heard) + 0.2 if heard else time.monotonic()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

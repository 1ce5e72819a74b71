"""The window at work: drains the desk thirty times a second, shows what fails, and puts everything away at the end."""

from __future__ import annotations

import logging
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from types import FrameType, TracebackType

from PySide6.QtCore import QCoreApplication, QObject, QTimer

from bench.dashboard.application import the_application
from bench.dashboard.desk import Desk
from bench.dashboard.window import Window
from bench.sitting.told import told_to

__all__ = ["DeskLoop", "run_desk"]

_log = logging.getLogger(__name__)
_FRAME_MS = 33


def run_desk(desk: Desk, window: Window | None = None) -> None:
    """Until the window is closed; what was kept is kept whichever way that is."""
    application = the_application()
    shown = window or Window("", desk)
    loop = DeskLoop(desk, shown)
    shown.show()
    with _interruptible(shown), _failures_shown(desk), told_to(partial(desk.tell_from_elsewhere, grave=True)):
        loop.start()
        shown.closed.connect(QCoreApplication.quit)
        application.exec()
        loop.stop()
    desk.close()
    if desk.tick().fed is not None:
        print("the volts were not confirmed at zero: bring them to zero and unplug before you touch the unit",
              file=sys.stderr)  # fmt: skip
    shown.deleteLater()


class DeskLoop(QObject):
    """One tick a frame."""

    def __init__(self, desk: Desk, window: Window) -> None:
        super().__init__()
        self._desk, self._window = desk, window
        self._timer = QTimer(self)
        self._timer.setInterval(_FRAME_MS)
        self._timer.timeout.connect(self.tick)
        self._failed = ""

    def start(self) -> None:
        self._timer.start()

    def stop(self) -> None:
        self._timer.stop()

    def tick(self) -> None:
        """A face that can't be drawn is said once, and the count goes on behind it."""
        state = self._desk.tick()
        try:
            self._window.show_state(state, time.monotonic())
        except Exception as error:
            words = f"{type(error).__name__}: {error}"
            if words == self._failed:
                return
            self._failed = words
            raise


@contextmanager
def _failures_shown(desk: Desk) -> Iterator[None]:
    """What a slot raises is logged with its trace and shown; the work at the bench goes on."""
    before = sys.excepthook

    def show(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            before(kind, error, trace)
            return
        _log.error("the window failed", exc_info=(kind, error, trace))
        desk.tell(
            f"the window failed ({kind.__name__}: {error}); its trace is in the log, the work goes on", grave=True
        )

    sys.excepthook = show
    try:
        yield
    finally:
        sys.excepthook = before


@contextmanager
def _interruptible(window: Window) -> Iterator[None]:
    """Ctrl-C is a wish to close the window, a second one or a polite kill leaves it; the frame timer wakes Python often
    enough to see them."""
    wishes = 0

    def on_signal(number: int, frame: FrameType | None) -> None:
        nonlocal wishes
        wishes += 1
        if number == signal.SIGINT and wishes == 1:
            window.close()
        else:
            window.leave()

    numbers = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {number: signal.signal(number, on_signal) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)

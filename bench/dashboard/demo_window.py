"""Runs the demo in a worker thread with the dashboard before it, and puts everything away whichever way it ends."""

from __future__ import annotations

import logging
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from PySide6.QtCore import QCoreApplication, QObject, QTimer

from bench.dashboard.application import the_application
from bench.dashboard.state import Snapshot, advance
from bench.dashboard.window import Window
from bench.dashboard.work.bridge import Bridge, Closed
from bench.demo.run import DemoObserver, DemoPlan, DemoResult, run_demo

__all__ = ["run_with_window"]

_log = logging.getLogger(__name__)
_FRAME_MS = 33
_STAYS_MS = 3000
"""How long the end is shown where nobody is there to close the window."""


def run_with_window(plan: DemoPlan, view: DemoObserver) -> DemoResult | None:
    """The demo with a window; `view` sees it too.

    None when the person closed the window before the end.  Raises what `run_demo` raises, and KeyboardInterrupt for
    Ctrl-C before the end.  The window stays open after the end, unless nobody is there to close it.
    """
    application = the_application()
    bridge = Bridge()
    worker = _Worker(plan, view, bridge)
    window = Window(f"rehearsal on simulated instruments,\n{plan.speed:g} times life")
    loop = _Loop(window, bridge, worker, stays_open=_somebody_is_there())
    window.show()
    with _interruptible(loop):
        worker.start()
        loop.run(application)
        bridge.close()
        worker.join()
    window.deleteLater()
    if loop.failed is not None:
        raise loop.failed
    if worker.result is not None:
        return worker.result
    if worker.failed is not None and not loop.interrupted:
        raise worker.failed
    if loop.interrupted:
        raise KeyboardInterrupt
    return None


class _Worker(threading.Thread):
    """The demo beside the window; `result` or `failed` when it has ended, neither when the window was closed."""

    def __init__(self, plan: DemoPlan, view: DemoObserver, bridge: Bridge) -> None:
        super().__init__(name="demo", daemon=True)
        self._plan, self._view, self._bridge = plan, view, bridge
        self.result: DemoResult | None = None
        self.failed: BaseException | None = None

    def run(self) -> None:
        try:
            self.result = run_demo(self._plan, (self._view, self._bridge), lambda: self._bridge.closed)
        except Closed:
            _log.info("the window was closed before the end")
        except BaseException as error:
            self.failed = error


class _Loop(QObject):
    """Drains the bridge thirty times a second into a snapshot, draws it, and knows when it is over."""

    def __init__(self, window: Window, bridge: Bridge, worker: _Worker, *, stays_open: bool) -> None:
        super().__init__()
        self._window, self._bridge, self._worker, self._stays_open = window, bridge, worker, stays_open
        self._state = Snapshot()
        self._over = False
        self._left = False
        self.interrupted = False
        self.failed: Exception | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(_FRAME_MS)
        self._timer.timeout.connect(self._frame)
        self._leaving = QTimer(self)
        self._leaving.setSingleShot(True)
        self._leaving.setInterval(_STAYS_MS)
        self._leaving.timeout.connect(self.leave)
        window.closed.connect(self.leave)

    def run(self, application: QCoreApplication) -> None:
        """Until the window is closed, by whomever."""
        self._timer.start()
        if not self._left:
            application.exec()
        self._timer.stop()
        self._leaving.stop()
        self._window.closed.disconnect(self.leave)
        self._window.close()

    def leave(self) -> None:
        self._left = True
        QCoreApplication.quit()

    def interrupt(self) -> None:
        """Ctrl-C: before the end it breaks the demo off, after it it only closes the window."""
        self.interrupted = not self._over
        self.leave()

    def _frame(self) -> None:
        # PySide prints what a slot raises and goes on; a window that no longer tells the truth must end instead.
        try:
            ended = not self._worker.is_alive()
            for news, at in self._bridge.drain():
                self._state = advance(self._state, news, at)
            self._window.show_state(self._state, time.monotonic())
        except Exception as error:
            self.failed = error
            self.leave()
            return
        if ended and not self._over:
            self._over = True
            if self._worker.result is None:
                self.leave()
            elif not self._stays_open:
                self._leaving.start()


def _somebody_is_there() -> bool:
    if os.environ.get("QT_QPA_PLATFORM", "").startswith(("offscreen", "minimal")):
        return False
    return sys.stdin is not None and not sys.stdin.closed and sys.stdin.isatty()


@contextmanager
def _interruptible(loop: _Loop) -> Iterator[None]:
    """Ctrl-C ends the loop; the frame timer wakes Python often enough to see it."""

    def on_signal(number: int, frame: FrameType | None) -> None:
        loop.interrupt()

    before = signal.signal(signal.SIGINT, on_signal)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)

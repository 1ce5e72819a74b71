"""A person at the window with a rehearsal on the bench: the rehearsal's hand does what is asked, keys say so."""

from __future__ import annotations

import json
import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.acceptance.ask import Reply, ask_object
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Enter, Excite, OperatorRequest, Wait
from bench.acceptance.watching import Patience
from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.state import Snapshot
from bench.dashboard.window import Window
from bench.dashboard.work.operator import WindowOperator
from bench.demo.rehearsal_process import RehearsalPorts
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.opening import open_store

__all__ = ["BENCH", "QUICK", "UNPLUGGED_OR_LOW", "WHOLE", "AtTheBench", "copied_job", "procedure_file"]

BENCH = BenchFile.model_validate(
    {
        "schema": 1,
        "resistor": {"resistance": "1 kohm", "tolerance": 0.01},
        "limiter": {"kind": "lamp", "power": "60 W"},
    }
)
QUICK = Patience(wrong=1.5, rise=3.0, stand=0.0)
WHOLE = ("conditions", "look", "resistance", "insulation", "low_volts", "polarity", "sums", "screen", "low_watts",
         "earthed", "first_power", "exciting", "core_watts", "open_circuit")  # fmt: skip
"""Without what takes half an hour or a tester of its own."""
UNPLUGGED_OR_LOW = ("conditions", "resistance", "insulation", "low_volts", "polarity")
_TEST = 4
_KEYS = {Qt.Key.Key_Return: "Return", Qt.Key.Key_Escape: "Escape", Qt.Key.Key_C: "C"}
_KEYS |= {Qt.Key(Qt.Key.Key_F1 + number): f"F{number + 1}" for number in range(12)}
_LONGEST_S = 15.0


def copied_job(folder: Path, name: str) -> Path:
    """An example job as somebody's own file."""
    path = folder / f"my {name}.toml"
    shutil.copy(example_job(name), path)
    return path


def procedure_file(folder: Path, *kinds: str) -> Path:
    """The shipped test with these kinds of steps alone."""
    lines = ["schema = 1", 'name = "short"', 'about = "a part of the test"', 'stage = "before varnish"']
    lines += ['rules = "small-mains"', *(f'[[step]]\nkind = "{kind}"' for kind in kinds)]
    path = folder / "short.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


class AtTheBench:
    """asked: every request so far, in order.

    Where no key is due since a meter watches, the dial is turned at once: how long a person takes for it is no matter
    of the window.
    """

    def __init__(self, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, ports: RehearsalPorts, job: Path) -> None:
        self._ports = ports
        self.control = ControlPort(ports.control)
        self.control.open()
        self.desk = Desk(BENCH)
        self.desk.open_job(job)
        self.window = Window("", self.desk)
        self._loop = DeskLoop(self.desk, self.window)
        qtbot.addWidget(self.window)
        self.window.show()
        self.window.activateWindow()
        self.window.look_at(_TEST)
        self.window.test.acts_of.patience = QUICK  # type: ignore[union-attr]
        self.window.test.acts_of.too_soon_s = 0.0  # type: ignore[union-attr]
        self.asked: list[OperatorRequest] = []
        self._number = 0
        self._lock = threading.Lock()
        monkeypatch.setattr(WindowOperator, "ask", self._with_a_hand(WindowOperator.ask))

    def _with_a_hand(self, ask: Callable[[WindowOperator, OperatorRequest], Reply]) -> Any:
        def asked(operator: WindowOperator, request: OperatorRequest) -> Reply:
            if isinstance(request, Excite) and request.hazard > HANDS_OFF_VOLTS and operator._keyless:
                self._do(request)
            return ask(operator, request)

        return asked

    def _do(self, request: OperatorRequest) -> dict[str, Any]:
        with self._lock:
            answer = json.loads(self.control.line(ask_object(request, "t")))
        assert "error" not in answer, answer
        return dict(answer)

    @property
    def state(self) -> Snapshot:
        return self.desk.state

    def choose(self, meter: str, procedure: Path) -> None:
        self.window.test.start.use_meter(meter)
        self.window.test.start.use_procedure(str(procedure))

    def until(self, so: Callable[[], Any], seconds: float = _LONGEST_S) -> None:
        """Let the window run until it is so."""
        end = time.monotonic() + seconds
        while not so():
            assert time.monotonic() < end, f"not so in {seconds:g} s; {self.state.awaiting}; {self.state.said[:3]}"
            self._loop.tick()
            QApplication.processEvents()
            time.sleep(0.012)  # a frame comes after some 30 ms in the window, too

    def press(self, key: Qt.Key) -> None:
        """Once it is offered on screen."""
        self.until(lambda: any(button.key == _KEYS[key] for button in self.window.acts.buttons))
        QTest.keyClick(self.window, key)

    def next_asked(self) -> OperatorRequest | None:
        """The next thing that is asked, None when the test is over."""
        self.until(lambda: self._new_asking() or self.state.verdict is not None or self._ended())
        if not self._new_asking():
            return None
        awaiting = self.state.awaiting
        assert awaiting is not None
        self._number = awaiting.number
        self.asked.append(awaiting.request)
        return awaiting.request

    def answer(self, request: OperatorRequest, typed: str | None = None) -> None:
        """As a person does: by hand, then by key."""
        awaiting = self.state.awaiting
        if isinstance(request, Wait):
            self.press(Qt.Key.Key_Return)
            return
        if awaiting is not None and awaiting.keyless:
            return
        answer = self._do(request)
        if isinstance(request, Enter):
            self.type_in(str(answer["value"]) if typed is None else typed)
        else:
            self.press(Qt.Key.Key_Return)

    def type_in(self, text: str) -> None:
        entry = self.window.test.step.entry
        self.until(lambda: entry.line.isVisible())
        QTest.keyClicks(entry.line, text)
        QTest.keyClick(entry.line, Qt.Key.Key_Return)

    def go_on(self, until: Callable[[OperatorRequest], bool] = lambda request: False) -> OperatorRequest | None:
        """Answer all that is asked until a request that is not answered, or the end."""
        while True:
            request = self.next_asked()
            if request is None or until(request):
                return request
            self.answer(request)

    def close(self) -> None:
        self.window.leave()
        self.desk.close()
        self.control.close()

    def kept(self, kind: Kind) -> list[dict[str, Any]]:
        """Bodies of the record's entries of a kind."""
        assert self.state.job is not None
        with open_store() as store:
            return _bodies(store, self.state.job.identity.number, kind)

    def _new_asking(self) -> bool:
        awaiting = self.state.awaiting
        return awaiting is not None and awaiting.number != self._number

    def _ended(self) -> bool:
        return bool(self.asked) and not self.state.doing


def _bodies(store: Store, number: str, kind: Kind) -> list[dict[str, Any]]:
    return [dict(entry.body) for entry in store.entries(number) if entry.kind == kind]

"""The window with a desk behind it: keys, questions at its foot, and leaving it in the middle of a work."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from bench.acceptance.requests import Enter, Excite
from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.window import Window
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from drivers.reading import Quantity
from tests.dashboard.given import FEED


class _Standing:
    """A work that stands at the bench until it is left."""

    doing = "restack"

    def __init__(self) -> None:
        self.left = threading.Event()

    def run(self, bridge: Bridge, orders: Orders) -> None:
        try:
            orders.wait()
        finally:
            self.left.set()


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "home"))
    made = Desk(BenchFile.model_validate({"schema": 1}))
    yield made
    made.close()


@pytest.fixture
def window(qtbot: QtBot, desk: Desk) -> Iterator[Window]:
    shown = Window("", desk)
    loop = DeskLoop(desk, shown)
    shown.show()
    shown.activateWindow()
    loop.start()
    yield shown
    loop.stop()
    shown.leave()
    shown.deleteLater()


def offer(window: Window, *acts: Act) -> None:
    """On the face that is looked at, whatever it offers by itself."""
    window.face.offer(acts)


def press(window: Window, key: Qt.Key) -> None:
    QTest.keyClick(window, key)


def test_each_stage_has_its_key_and_its_face(window: Window, qtbot: QtBot) -> None:
    keys = (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_5, Qt.Key.Key_6)
    for place, key in enumerate(keys):
        press(window, key)
        assert window.face is window.faces[place]


def test_an_act_is_done_by_its_key_and_by_a_click(window: Window, qtbot: QtBot) -> None:
    done: list[str] = []
    window.look_at(3)
    offer(window, Act("J", "do it", lambda: done.append("it")))
    press(window, Qt.Key.Key_J)
    button = next(one for one in window.acts.buttons if one.words == "do it")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert done == ["it", "it"]
    assert button.accessibleName() == "do it, key j"


def test_a_question_says_what_is_wrong_and_asks_again_from_its_first_line(window: Window, qtbot: QtBot) -> None:
    answers: list[tuple[str, ...]] = []

    def answered(given: tuple[str, ...]) -> str:
        answers.append(given)
        return "" if given[0] == "412" else "expected a number"

    window.look_at(3)
    offer(window, Act("S", "set", Question(("turns", "why"), answered)))
    press(window, Qt.Key.Key_S)
    line = window.asker.line
    qtbot.waitUntil(lambda: window.focusWidget() is line)
    for text in ("many", "counted"):
        QTest.keyClicks(line, text)
        QTest.keyClick(line, Qt.Key.Key_Return)
    assert window.asker.problem.text() == "expected a number"
    assert window.asker.isVisible()
    assert answers == [("many", "counted")]
    for text in ("412", "counted again"):
        QTest.keyClicks(line, text)
        QTest.keyClick(line, Qt.Key.Key_Return)
    assert answers[-1] == ("412", "counted again")
    assert not window.asker.isVisible()


def test_escape_leaves_a_question_and_keys_are_keys_again(window: Window, qtbot: QtBot) -> None:
    done: list[str] = []
    window.look_at(3)
    offer(window, Act("S", "set", Question(("turns",), lambda given: "")), Act("J", "do it", lambda: done.append("it")))
    press(window, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: window.focusWidget() is window.asker.line)
    QTest.keyClicks(window.asker.line, "j")
    assert not done  # it is a letter there
    QTest.keyClick(window.asker.line, Qt.Key.Key_Escape)
    assert not window.asker.isVisible()
    press(window, Qt.Key.Key_J)
    assert done == ["it"]


def test_nothing_at_the_bench_and_it_closes_at_once(window: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.closed):
        window.close()


def test_a_key_closes_it(window: Window, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.closed):
        QTest.keyClick(window, Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)


def test_in_the_middle_of_a_work_it_asks_before_it_goes(window: Window, desk: Desk, qtbot: QtBot) -> None:
    work = _Standing()
    desk.begin(work)
    qtbot.waitUntil(lambda: desk.state.doing == "restack")
    assert not window.close()
    assert window.isVisible()
    qtbot.waitUntil(lambda: "leave it?" in window.said.words.text())
    assert [one.words for one in window.acts.buttons] == ["stay", "leave it, all is kept"]
    press(window, Qt.Key.Key_Escape)
    assert "leave it, all is kept" not in [one.words for one in window.acts.buttons]
    assert desk.busy
    window.close()
    with qtbot.waitSignal(window.closed):
        press(window, Qt.Key.Key_L)
    desk.close()
    assert work.left.is_set()


def test_with_volts_on_it_says_so_before_it_goes(window: Window, desk: Desk, qtbot: QtBot) -> None:
    def live(bridge: Bridge, orders: Orders) -> None:
        bridge.tell(told.Asked(FEED))
        orders.wait()

    work = _Standing()
    work.run = live  # type: ignore[method-assign]
    desk.begin(work)
    qtbot.waitUntil(lambda: bool(desk.state.live))
    window.close()
    qtbot.waitUntil(lambda: "Volts to zero and unplug first" in window.said.words.text())


def test_until_somebody_says_that_the_volts_are_at_zero_they_may_be_on(
    window: Window, desk: Desk, qtbot: QtBot
) -> None:
    zero = Excite("exciting:75", "primary", "primary.start", "primary.finish", 0.0, 50.0, "variac")

    def asks_for_zero(bridge: Bridge, orders: Orders) -> None:
        bridge.tell(told.Awaits(1, FEED))
        bridge.tell(told.Awaits(2, zero))
        orders.wait()

    work = _Standing()
    work.run = asks_for_zero  # type: ignore[method-assign]
    desk.begin(work)
    qtbot.waitUntil(lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 2)
    window.close()
    qtbot.waitUntil(lambda: "LIVE until the volts are at zero" in window.said.words.text())


def test_while_a_value_is_due_the_keys_of_leaving_are_no_letters_of_it(
    window: Window, desk: Desk, qtbot: QtBot
) -> None:
    work = _a_value_is_due(window, desk, qtbot)
    entry = window.test.step.entry.line
    window.close()
    assert not entry.hasFocus()
    desk.tell("something comes meanwhile")
    qtbot.wait(150)  # some frames
    QTest.keyClick(window.focusWidget() or window, Qt.Key.Key_Escape)
    qtbot.waitUntil(entry.hasFocus)  # it goes on, and the value is due
    window.close()
    desk.tell("something comes meanwhile")
    qtbot.wait(150)
    with qtbot.waitSignal(window.closed):
        QTest.keyClick(window.focusWidget() or window, Qt.Key.Key_L)
    assert entry.text() == ""
    desk.close()
    assert work.left.is_set()


def test_a_work_that_ends_by_itself_is_no_more_to_be_left(window: Window, desk: Desk, qtbot: QtBot) -> None:
    _a_value_is_due(window, desk, qtbot)
    window.close()
    assert "leave it, all is kept" in [one.words for one in window.acts.buttons]
    desk.end_work()
    qtbot.waitUntil(lambda: "leave it, all is kept" not in [one.words for one in window.acts.buttons])


def _a_value_is_due(window: Window, desk: Desk, qtbot: QtBot) -> _Standing:
    due = Enter("resistance:primary", Quantity.RESISTANCE, "Resistance of the primary.", "ohm")

    def asks_for_it(bridge: Bridge, orders: Orders) -> None:
        bridge.tell(told.Awaits(1, due))
        try:
            orders.wait()
        finally:
            work.left.set()

    work = _Standing()
    work.doing = "test"
    work.run = asks_for_it  # type: ignore[method-assign]
    desk.begin(work)
    qtbot.waitUntil(window.test.step.entry.line.hasFocus)
    return work


def test_a_test_that_ended_with_the_volts_on_says_so_until_somebody_confirms(
    window: Window, desk: Desk, qtbot: QtBot
) -> None:
    def breaks_off(bridge: Bridge, orders: Orders) -> None:
        bridge.tell(told.Awaits(1, FEED))

    work = _Standing()
    work.run = breaks_off  # type: ignore[method-assign]
    desk.begin(work)
    qtbot.waitUntil(lambda: "nobody said that they are" in window.said.words.text())
    assert not window.close()
    qtbot.wait(150)  # some frames
    assert "leave it, all is kept" in [one.words for one in window.acts.buttons]
    press(window, Qt.Key.Key_Escape)
    assert "volts are at zero" in [one.words for one in window.acts.buttons]
    press(window, Qt.Key.Key_Z)
    assert desk.state.fed is None
    with qtbot.waitSignal(window.closed):
        window.close()


def test_a_job_that_is_opened_stands_in_the_head(window: Window, desk: Desk, qtbot: QtBot) -> None:
    desk.open_job(example_job("coastal-receiver"))
    qtbot.waitUntil(lambda: window.name.text() == "Mains transformer of a coastal receiver")
    assert "made for 117 V 60 Hz" in window.facts.text()


def test_what_begins_is_looked_at(window: Window, desk: Desk, qtbot: QtBot) -> None:
    desk.begin(_Standing())
    qtbot.waitUntil(lambda: window.face is window.restack)


def test_a_face_that_fails_is_said_and_the_rest_goes_on(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = Window("", desk)
    qtbot.addWidget(shown)
    drawn: list[float] = []

    def fail(*given: object) -> None:
        raise RuntimeError("a face that fails")

    monkeypatch.setattr(shown.survey, "show_state", fail)
    monkeypatch.setattr(shown.instruments, "show_state", lambda state, now: drawn.append(now))
    loop = DeskLoop(desk, shown)
    with pytest.raises(RuntimeError, match="a face that fails"):
        loop.tick()
    loop.tick()  # said once, not thirty times a second
    assert drawn, "the instruments are drawn though a face fails"


def test_what_was_wrong_before_does_not_stand_over_what_begins_now(window: Window, desk: Desk, qtbot: QtBot) -> None:
    desk.tell("/dev/nowhere: no such port", grave=True)
    qtbot.waitUntil(lambda: "no such port" in window.said.words.text())
    desk.begin(_Standing())
    qtbot.waitUntil(lambda: desk.state.doing == "restack")
    qtbot.waitUntil(lambda: window.said.words.text() == "")

"""Windings wound through the window: by a counter over a pseudo-terminal, and by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from bench.dashboard.instruments import Health
from bench.demo.rehearsal_process import RehearsalProcess
from bench.operators.rehearsal import ControlPort
from tests.dashboard.winding_bench import AtTheWindow, Key, a_job, at_the_window, kept, opened

SPEED = 20.0


@dataclass
class Machine:
    """The rehearsed winding machine."""

    job: Path
    counter: str
    control: ControlPort

    @property
    def spindle(self) -> float:
        """Turns that it really made."""
        return float(self.control.do("truth")["spindle_turns"])


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    job = a_job(tmp_path)
    with RehearsalProcess(job, (), 0, SPEED) as ports:
        control = opened(ports.control)
        try:
            yield Machine(job, ports.counter, control)
        finally:
            control.close()


@pytest.fixture
def person(qtbot: QtBot, machine: Machine) -> Iterator[AtTheWindow]:
    with at_the_window(qtbot, machine.job) as one:
        yield one


def test_a_winding_is_wound_to_its_target_and_the_next_is_offered(person: AtTheWindow, machine: Machine) -> None:
    person.begin("rectifier", machine.counter)
    machine.control.do("spindle", to=15.0, rpm=120.0, wait=True)
    person.until(lambda: person.desk.state.wound is not None)
    person.until(lambda: not person.desk.busy)
    (done,) = kept("winding done")
    assert done.body["winding"] == "rectifier"
    assert done.body["turns"] == pytest.approx(machine.spindle, abs=0.13)
    person.until(lambda: person.face.due.head.text() == "WOUND")
    assert "finish lead 7 (yellow)" in person.face.due.more.text()
    person.until(lambda: person.keys() == {"Return": "next: primary"})
    person.press(Key.Key_Return)
    person.until(person.face.start.isVisible)
    assert person.face.start.choice.winding is not None
    assert person.face.start.choice.winding.name == "primary"


def test_the_end_of_a_layer_says_what_to_do_until_its_key_says_that_it_is_done(
    person: AtTheWindow, machine: Machine
) -> None:
    person.begin("primary", machine.counter)
    machine.control.do("spindle", to=90.0, rpm=1500.0, wait=True)
    person.until(lambda: person.turns >= 89.8)
    person.until(lambda: person.face.due.head.text() == "NOW")
    due = person.face.due
    assert (due.words.text(), due.button.key, due.button.words) == ("end of layer 1", "Space", "done")
    assert due.more.text() == "insulation 0.05 mm, flange to flange, then to the left"
    assert person.keys()["Space"] == "done"
    assert [button.words for button in person.window.acts.buttons if button.size_of_type() < 14] == []
    person.press(Key.Key_Space)
    person.until(lambda: due.head.text() == "next")
    assert [one.body["mark"] for one in kept("mark") if one.body["what"] == "done"] == ["end of layer 1"]
    assert person.keys()["Space"] == "hold"


def test_what_the_spindle_turns_on_hold_is_shown_and_left_out(person: AtTheWindow, machine: Machine) -> None:
    person.begin("primary", machine.counter)
    machine.control.do("spindle", to=20.0, rpm=600.0, wait=True)
    person.until(lambda: person.turns >= 19.8)
    person.press(Key.Key_Space)
    person.until(lambda: person.face.due.head.text() == "ON HOLD")
    machine.control.do("spindle", by=3.0, rpm=600.0, wait=True)
    person.until(lambda: person.face.due.words.text() == "the spindle turned +3.0 since")
    assert person.keys()["A"] == "go on, count them"
    assert person.keys()["Space"] == "go on without them"
    person.press(Key.Key_Space)
    person.until(lambda: person.face.due.head.text() == "next")
    assert person.turns == pytest.approx(20.0, abs=0.13)
    assert machine.spindle == pytest.approx(23.0)


def test_a_cable_pulled_out_and_put_back_loses_no_turn(person: AtTheWindow, machine: Machine) -> None:
    person.begin("primary", machine.counter)
    machine.control.do("spindle", to=30.0, rpm=600.0, wait=True)
    machine.control.do("unplug", port="counter", seconds=2.0 * SPEED)
    person.until(lambda: person.face.due.head.text() == "NO COUNT")
    assert person.desk.state.counter.condition is Health.LOST
    machine.control.do("spindle", to=50.0, rpm=600.0, wait=True)
    person.until(lambda: person.desk.state.counter.condition is Health.WELL)
    person.until(lambda: person.turns == pytest.approx(machine.spindle, abs=0.13))
    assert person.face.due.head.text() == "next"
    # by the board's next line, some hundredths of a second later
    person.until(lambda: person.desk.state.progress is not None and person.desk.state.progress.certain)


def test_a_count_is_set_with_its_reason(person: AtTheWindow, machine: Machine) -> None:
    person.begin("primary", machine.counter)
    person.press(Key.Key_S)
    person.type("12", "counted again")
    person.until(lambda: person.turns == pytest.approx(12.0))
    (said,) = kept("correction")
    assert (said.body["turns"], said.body["reason"]) == (12.0, "counted again")


def test_a_window_closed_in_the_middle_asks_and_another_goes_on_at_the_same_count(
    qtbot: QtBot, machine: Machine
) -> None:
    with at_the_window(qtbot, machine.job) as person:
        person.begin("primary", machine.counter)
        machine.control.do("spindle", to=41.0, rpm=900.0, wait=True)
        person.until(lambda: person.turns >= 40.99)
        before = person.turns
        person.window.close()
        assert person.window.isVisible()
        assert person.keys() == {"Escape": "stay", "L": "leave it, all is kept"}
        person.press(Key.Key_L)
        assert not person.window.isVisible()
    with at_the_window(qtbot, machine.job) as person:
        person.press(Key.Key_3)
        person.until(lambda: person.keys().get("Return") == "go on with primary")
        person.begin("primary", machine.counter)
        assert person.turns == before
        machine.control.do("spindle", to=45.0, rpm=600.0, wait=True)
        person.until(lambda: person.turns == pytest.approx(45.0, abs=0.13))


def test_turns_that_are_on_already_are_said_before_it_begins(person: AtTheWindow, machine: Machine) -> None:
    person.look()
    person.press(Key.Key_F)
    person.type("120")
    assert person.keys()["Return"] == "primary from 120"
    person.press(Key.Key_T)
    person.type(machine.counter)
    person.press(Key.Key_Return)
    person.until(lambda: person.turns == pytest.approx(120.0))
    assert person.face.former.facts["layer"].text() == "2 of 8"


def test_a_foot_switch_that_acts_as_a_keyboard_means_the_one_key(qtbot: QtBot, machine: Machine) -> None:
    with at_the_window(qtbot, machine.job, foot_switch={"key": "b"}) as person:
        person.begin("primary", machine.counter)
        assert person.keys().get("B") is None
        person.press(Key.Key_B)
        person.until(lambda: person.face.due.head.text() == "ON HOLD")
        assert [one.body["held"] for one in kept("hold")] == [True]


@pytest.fixture
def by_hand(qtbot: QtBot, tmp_path: Path) -> Iterator[AtTheWindow]:
    with at_the_window(qtbot, a_job(tmp_path)) as one:
        yield one


def test_a_winding_counted_by_hand_is_typed_layer_by_layer(by_hand: AtTheWindow) -> None:
    by_hand.begin("primary", "hand")
    by_hand.type("88")
    by_hand.until(lambda: by_hand.turns == 88)
    assert by_hand.face.due.words.text() == "end of layer 1"
    by_hand.type("90")
    by_hand.until(lambda: by_hand.turns == 178)
    by_hand.type("-2")
    by_hand.until(lambda: by_hand.turns == 176)
    by_hand.type("=660")
    by_hand.until(lambda: by_hand.turns == 660)
    by_hand.type("662")
    by_hand.until(lambda: not by_hand.desk.busy)
    assert [one.body["turns"] for one in kept("layer")] == [88, 90, -2, 484, 2]
    (done,) = kept("winding done")
    assert (done.body["turns"], done.body["low"], done.body["high"]) == (662, 662, 662)
    by_hand.until(lambda: by_hand.face.due.head.text() == "WOUND")
    assert "finish lead 2 (black-white)" in by_hand.face.due.more.text()


def test_what_can_be_no_layer_is_refused_where_it_is_typed(by_hand: AtTheWindow) -> None:
    by_hand.begin("primary", "hand")
    by_hand.type("8o")
    assert "no number of turns" in by_hand.window.asker.problem.text()
    by_hand.type("-1")
    assert "can't be taken back" in by_hand.window.asker.problem.text()
    assert kept("layer") == []


def test_a_dial_that_falls_is_asked_about(by_hand: AtTheWindow) -> None:
    by_hand.begin("primary", "hand")
    by_hand.type("=412")
    by_hand.until(lambda: by_hand.turns == 412)
    by_hand.type("=41")
    assert "did turns come off" in by_hand.window.asker.what.text()
    by_hand.type("n")
    assert by_hand.window.asker.what.text().startswith("primary, the dial shows")
    by_hand.type("411", "y")
    by_hand.until(lambda: by_hand.turns == 411)
    assert [one.body["total"] for one in kept("layer")] == [412, 411]


def test_a_count_by_hand_that_was_left_goes_on(qtbot: QtBot, tmp_path: Path) -> None:
    job = a_job(tmp_path)
    with at_the_window(qtbot, job) as person:
        person.begin("primary", "hand")
        person.type("88")
        person.until(lambda: person.turns == 88)
        person.window.close()
        assert person.window.acts.isVisible()
        person.press(Key.Key_L)
    with at_the_window(qtbot, job) as person:
        person.begin("primary", "hand")
        assert person.turns == 88
        person.type("q")
        person.until(lambda: person.face.due.head.text() == "LEFT")
        assert kept("winding done") == []


def test_no_counter_is_chosen_by_itself_and_the_first_of_the_bench_file_is(qtbot: QtBot, tmp_path: Path) -> None:
    job = a_job(tmp_path)
    with at_the_window(qtbot, job) as person:
        assert person.face.start.counter == ""
        person.look()
        person.press(Key.Key_Return)
        assert person.window.asker.what.text() == "counter"
    bench = {"counter": [{"name": "hall at the bench", "use": "hall@/dev/ttyACM7"}, {"name": "mine", "use": "hand"}]}
    with at_the_window(qtbot, job, **bench) as person:
        person.look()
        assert person.face.start.counter == "hall at the bench"
        person.press(Key.Key_C)
        assert person.face.start.counter == "mine"
        person.press(Key.Key_Return)
        person.until(lambda: person.desk.state.hand_count is not None)

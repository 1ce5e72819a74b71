"""Where a job that is opened is looked at, what the record says of its test, and what is asked before a winding."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.look import Shape
from bench.dashboard.stations import DESK
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.sitting.opening import open_store
from tests.dashboard.at_the_window import At

NUMBER = "TP-0107"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(example_job("coastal-receiver"), tmp_path / "receiver.toml"))


@pytest.fixture
def at(qtbot: QtBot) -> Iterator[At]:
    made = At(qtbot)
    yield made
    made.close()


def _keep(*entries: tuple[Kind, dict[str, object]]) -> None:
    with open_store() as store:
        for kind, body in entries:
            store.append(NUMBER, kind, body)


def _left_at(turns: float) -> tuple[tuple[Kind, dict[str, object]], ...]:
    count: dict[str, object] = {"winding": "primary", "turns": turns, "low": turns, "high": turns, "counter": None}
    return (Kind.WINDING_BEGUN, {"winding": "primary", "target": 662}), (Kind.COUNT, count)


def _face(at: At) -> str:
    return next(one.name for one, face in zip(DESK, at.window.faces, strict=True) if face is at.window.face)


def test_a_half_wound_winding_is_what_is_seen_first(at: At, path: Path) -> None:
    _keep(*_left_at(178.0))
    at.open(path)
    at.until(lambda: _face(at) == "winding")
    at.until(lambda: at.offers("Return") and "go on with primary" in at.window.face.acts[0].words)


def test_a_test_that_goes_on_is_what_is_seen_first_and_says_so(at: At, path: Path) -> None:
    _keep((Kind.TEST_BEGUN, {"procedure": "whole"}), (Kind.STEP, {"id": "ratio:ht"}))
    at.open(path)
    at.until(lambda: _face(at) == "test")
    at.until(lambda: "goes on: 1 step is kept" in at.window.test.start.stands.text())
    assert at.window.face.acts[0].words == "go on"


def test_a_verdict_that_is_kept_stands_on_the_rail_and_before_the_next_test(at: At, path: Path) -> None:
    result = {"verdict": "rejected", "steps": [], "findings": [], "not_done": []}
    _keep((Kind.TEST_BEGUN, {"procedure": "whole"}), (Kind.STEP, {"id": "ratio:ht"}), (Kind.RESULT, result))
    at.open(path)
    at.until(lambda: at.window.rail._signs[4][0] is Shape.CROSS)
    assert _face(at) == "survey"
    at.window._look_by_hand(4)
    at.until(lambda: "REJECTED, 1 step" in at.window.test.start.stands.text())
    assert at.window.face.acts[0].words == "begin a new one"
    assert at.offers("C")


def test_who_looks_elsewhere_first_is_left_there(at: At, path: Path) -> None:
    _keep(*_left_at(178.0))
    at.open(path)
    at.window.show_state(at.desk.state, 0.0)
    at.window._look_by_hand(1)
    at.until(lambda: bool(at.desk.state.windings) and "test stands" in at.desk.state.reckoned)
    at.until(lambda: at.window._landed == NUMBER)
    assert _face(at) == "design"


def test_what_a_command_wound_meanwhile_is_seen_when_one_looks_again(at: At, path: Path) -> None:
    _keep(*_left_at(178.0))
    at.open(path)
    at.until(lambda: _face(at) == "winding")
    _keep((Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0, "target": 662}))
    at.window._look_by_hand(0)
    at.window._look_by_hand(2)
    at.until(lambda: any(one.done == 662.0 for one in at.desk.state.windings))


def test_before_a_winding_over_one_that_is_not_finished_it_is_asked(at: At, path: Path) -> None:
    _keep(*_left_at(2.5))
    at.open(path)
    at.until(lambda: _face(at) == "winding")
    at.press("Down")
    at.press("Enter", "begin ht")
    asked = at.window.asker.what
    at.until(lambda: at.window.asker.isVisible() and "primary is left at 2.5 turns" in asked.text())
    at.type("no")
    at.until(lambda: at.window.acts.isVisible())
    assert not at.desk.busy

"""A test from the window against the rehearsal: to its end, with a fault, by hand, broken off and taken up, stopped."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Connect, Enter, Excite
from bench.demo.rehearsal_process import RehearsalPorts, RehearsalProcess
from bench.records.entry import Kind
from tests.dashboard.at_the_bench import UNPLUGGED_OR_LOW, WHOLE, AtTheBench, copied_job, procedure_file

SPEED = 60.0
Sitting = Callable[..., AtTheBench]


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, RehearsalPorts]]:
    """A good unit on the bench, for all the tests that need no fault."""
    job = copied_job(tmp_path_factory.mktemp("good"), "gate-opener")
    with RehearsalProcess(job, (), 3, SPEED) as ports:
        yield job, ports


@pytest.fixture
def sitting(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, good: tuple[Path, RehearsalPorts], tmp_path: Path
) -> Iterator[Sitting]:
    """Sits down at the good unit, with the meter on its line unless another is named."""
    job, ports = good
    sittings = []

    def sit_down(meter: str = "", kinds: tuple[str, ...] = WHOLE) -> AtTheBench:
        bench = AtTheBench(qtbot, monkeypatch, ports, job)
        bench.choose(meter or ports.meter, procedure_file(tmp_path, *kinds))
        sittings.append(bench)
        return bench

    yield sit_down
    for bench in sittings:
        bench.close()


def test_a_good_unit_is_accepted_and_all_of_it_is_kept(sitting: Sitting) -> None:
    bench = sitting()
    bench.press(Qt.Key.Key_Return)
    assert bench.go_on() is None
    result = bench.kept(Kind.RESULT)[-1]
    wrong = [
        (one["id"], one["measured"], one["upper"], one["note"])
        for one in result["steps"]
        if one["verdict"] != "accepted"
    ]
    assert result["verdict"] == "accepted", wrong
    assert bench.window.test.verdict.word.text() == "ACCEPTED"
    done = {body["id"] for body in bench.kept(Kind.STEP)}
    assert {"resistance:primary", "ratio:supply24", "exciting:100", "open_circuit:supply24"} <= done
    # Volts that can hurt were read without a key.
    assert any(isinstance(one, Excite) and one.hazard > 200 for one in bench.asked)
    assert not bench.window.test.findings.blocks[0].isVisible()


def test_the_certificate_of_the_last_test_is_written_beside_the_job(sitting: Sitting) -> None:
    bench, shown = sitting(), []
    bench.window.test.acts_of.certificate.show = shown.append  # type: ignore[union-attr]
    bench.press(Qt.Key.Key_Return)
    bench.go_on(lambda request: isinstance(request, Connect))
    _stop(bench)
    bench.until(lambda: bench.state.verdict is not None)
    bench.until(lambda: not bench.desk.busy)
    bench.press(Qt.Key.Key_C)
    bench.until(lambda: shown)
    assert "INCOMPLETE" in pypdf.PdfReader(shown[0]).pages[0].extract_text()
    assert bench.state.said[0].words.startswith(f"{shown[0]}: certificate 1, given ")
    shown[0].write_text("the one before", encoding="utf-8")
    asker = bench.window.asker
    for answer, stands in (("no", True), ("yes", False)):
        bench.press(Qt.Key.Key_C)
        bench.until(lambda: bench.window.focusWidget() is asker.line)
        QTest.keyClicks(asker.line, answer)
        assert shown[0].read_bytes() == b"the one before"
        QTest.keyClick(asker.line, Qt.Key.Key_Return)
        if not stands:
            bench.until(lambda: len(shown) == 2)
        assert (shown[0].read_bytes() == b"the one before") is stands


def test_two_turns_too_many_on_the_heater_are_found_and_named(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    job = copied_job(tmp_path, "coastal-receiver")
    with RehearsalProcess(job, ("turns_wrong:heater=+2",), 0, SPEED) as ports:
        bench = AtTheBench(qtbot, monkeypatch, ports, job)
        bench.choose(ports.meter, procedure_file(tmp_path, *UNPLUGGED_OR_LOW))
        bench.press(Qt.Key.Key_Return)
        try:
            assert bench.go_on() is None
            result = bench.kept(Kind.RESULT)[-1]
            assert (result["verdict"], result["findings"][0]["fault"]) == ("rejected", "turns_wrong")
            block = bench.window.test.findings.blocks[0]
            assert block.sentence.text() == "heater has 2 turns too many"
            assert block.check.text().startswith("Check next: ")
            assert "1 " in block.remedy.text()
            # It was told as soon as the readings spoke for it.
            assert any("heater" in one.words for one in bench.state.suspicions)
        finally:
            bench.close()


def test_a_test_without_a_meter_on_a_line_is_typed_and_a_wrong_value_is_asked_again(sitting: Sitting) -> None:
    bench = sitting("hand")
    bench.press(Qt.Key.Key_Return)
    request = bench.go_on(lambda one: isinstance(one, Enter) and one.step == "resistance:primary")
    assert isinstance(request, Enter)
    card = bench.window.test.step
    assert bench.state.rig.meters[-1].from_terminal == "primary.start"
    before = bench.state.awaiting.number  # type: ignore[union-attr]
    bench.type_in("twelve")
    bench.until(lambda: bench.state.awaiting is not None and bench.state.awaiting.number != before)
    bench.until(lambda: card.entry.problem.text() != "")
    assert "'twelve'" in card.entry.problem.text()
    assert card.do.text().startswith("Ohmmeter on primary")
    again = bench.next_asked()
    assert again is not None
    bench.answer(again)
    bench.go_on(lambda one: one.step.startswith("insulation"))
    readings = [body for body in bench.kept(Kind.READING) if body["step"] == "resistance:primary"]
    assert len(readings) == 1
    assert readings[0]["instrument"] == "hand"


def test_an_empty_line_is_no_value(sitting: Sitting) -> None:
    bench = sitting("hand")
    bench.press(Qt.Key.Key_Return)
    bench.go_on(lambda one: isinstance(one, Enter))
    entry = bench.window.test.step.entry
    bench.until(lambda: entry.line.isVisible())
    QTest.keyClick(entry.line, Qt.Key.Key_Return)
    bench.until(lambda: entry.problem.text().startswith("a value is due"))
    assert bench.kept(Kind.ANSWER) == [body for body in bench.kept(Kind.ANSWER) if "text" not in body]


def test_what_was_read_before_the_window_was_closed_is_not_asked_for_again(sitting: Sitting) -> None:
    first = sitting(kinds=UNPLUGGED_OR_LOW)
    first.press(Qt.Key.Key_Return)
    first.go_on(lambda request: isinstance(request, Excite))
    kept = first.kept(Kind.READING)
    answered = {one.step for one in first.asked if isinstance(one, Enter)}
    assert len(kept) > 2
    first.close()

    second = sitting(kinds=UNPLUGGED_OR_LOW)
    second.press(Qt.Key.Key_Return)
    assert second.go_on() is None
    assert answered.isdisjoint(one.step for one in second.asked if isinstance(one, Enter))
    again = [one for one in second.asked if isinstance(one, Connect) and one.step.startswith("resistance")]
    assert again == []
    assert isinstance(second.asked[0], Confirm)  # the volts at zero, first of all
    assert second.kept(Kind.READING)[: len(kept)] == kept
    done = {one["id"]: one["verdict"] for one in second.kept(Kind.RESULT)[-1]["steps"]}
    assert (done["resistance:primary"], done["ratio:supply24"]) == ("accepted", "accepted")


def _stop(bench: AtTheBench) -> None:
    bench.press(Qt.Key.Key_F9)
    bench.until(lambda: bench.window.test.acts[0].key == "Escape")
    bench.press(Qt.Key.Key_F4)


def test_a_test_that_is_stopped_says_why_and_what_was_left_out(sitting: Sitting) -> None:
    bench = sitting()
    bench.press(Qt.Key.Key_Return)
    bench.go_on(lambda request: request.step == "resistance:supply24")
    _stop(bench)
    bench.until(lambda: bench.state.verdict is not None)
    result = bench.kept(Kind.RESULT)[-1]
    assert result["verdict"] == str(Verdict.INCOMPLETE)
    reasons = {one["id"]: one["reason"] for one in result["not_done"]}
    assert reasons["ratio:supply24"] == "stopped: later"
    assert "stopped: later" in bench.window.test.findings.quiet.text()


def test_a_step_is_left_out_with_a_reason_in_own_words(sitting: Sitting) -> None:
    bench = sitting()
    bench.press(Qt.Key.Key_Return)
    bench.go_on(lambda request: request.step == "insulation:supply24")
    bench.press(Qt.Key.Key_F8)
    bench.until(lambda: bench.window.test.acts[0].key == "Escape")
    bench.press(Qt.Key.Key_F5)
    QTest.keyClicks(bench.window.asker.line, "tester is lent out")
    QTest.keyClick(bench.window.asker.line, Qt.Key.Key_Return)
    bench.until(lambda: bench.state.awaiting is not None and bench.state.step != "insulation:supply24")
    skipped = [body for body in bench.kept(Kind.ANSWER) if "skip" in body]
    assert [(body["step"], body["skip"]) for body in skipped] == [("insulation:supply24", "tester is lent out")]


def test_a_stop_while_the_meter_reads_waits_until_the_volts_are_at_zero(sitting: Sitting) -> None:
    bench = sitting()
    bench.press(Qt.Key.Key_Return)
    live = bench.go_on(lambda request: isinstance(request, Excite) and request.hazard > 200)
    assert live is not None
    assert bench.state.rig.live
    _stop(bench)
    bench.answer(live)
    rest = bench.go_on()
    assert rest is None
    zero = [one for one in bench.asked if isinstance(one, Excite) and one.volts == 0]
    assert zero, "the volts were asked to zero"
    assert any("stopped: later" in one["reason"] for one in bench.kept(Kind.RESULT)[-1]["not_done"])


def test_a_key_that_is_held_down_confirms_once_and_no_more_until_it_is_let_go(sitting: Sitting) -> None:
    """Each press as from a system that does not say that the key is held."""
    bench = sitting()
    bench.press(Qt.Key.Key_Return)
    bench.go_on(lambda request: request.step.startswith("look"))
    acts = bench.window.test.acts_of
    assert acts is not None
    acts.too_soon_s = 0.5
    bench.until(lambda: bench.desk.asked_for_s > 0.7)
    asked: list[str] = []
    until = time.monotonic() + 2.5
    while time.monotonic() < until:
        awaiting = bench.state.awaiting
        if awaiting is not None and awaiting.request.step not in asked:
            asked.append(awaiting.request.step)
        acts._done()
        next_press = time.monotonic() + 0.04
        bench.until(lambda: time.monotonic() > next_press)  # noqa: B023
    assert len(asked) == 2
    assert asked[1].startswith("look")

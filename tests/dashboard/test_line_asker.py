"""A line that is typed at the foot: a slip is told at once, nothing typed is lost, and keys are letters meanwhile."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.act import Question
from bench.dashboard.parts.line_asker import LineAsker
from bench.dashboard.winding.due import Due
from bench.dashboard.winding.due_band import DueBand


def _enter(asker: LineAsker, text: str | None = None) -> None:
    if text is not None:
        asker.line.setText(text)
    QTest.keyClick(asker.line, Qt.Key.Key_Return)


def test_a_slip_in_the_first_line_is_told_before_the_second_is_asked(qtbot: QtBot) -> None:
    taken: list[tuple[str, ...]] = []
    asker = LineAsker()
    qtbot.addWidget(asker)
    asker.put(
        Question(
            ("turns", "how do you know"),
            lambda answers: taken.append(answers) or "",
            check=lambda text: "" if text.isdigit() else "expected turns",
        )
    )
    _enter(asker, "148 V")
    assert (asker.what.text(), asker.problem.text(), asker.line.text()) == ("turns", "expected turns", "148 V")
    _enter(asker, "148")
    assert asker.what.text() == "how do you know"
    _enter(asker, "counted again")
    assert taken == [("148", "counted again")]


def test_what_was_typed_is_there_to_be_mended_where_the_whole_is_refused(qtbot: QtBot) -> None:
    refusals = iter(["expected a reason that says more", ""])
    asker = LineAsker()
    qtbot.addWidget(asker)
    asker.put(Question(("turns", "why"), lambda answers: next(refusals)))
    _enter(asker, "148")
    _enter(asker, "so")
    assert (asker.what.text(), asker.line.text()) == ("turns", "148")
    _enter(asker)
    assert (asker.what.text(), asker.line.text(), asker.line.selectedText()) == ("why", "so", "so")


def test_the_band_shows_no_key_while_a_line_is_typed(qtbot: QtBot) -> None:
    band = DueBand()
    qtbot.addWidget(band)
    band.show()
    band.show_due(Due("ON HOLD", "the count stands still", "", "Space", "go on"))
    band.keys_go_elsewhere(True)
    band.show_due(Due("ON HOLD", "the spindle turned +3.0 since", "", "Space", "go on without them"))
    assert not band.button.isVisible()
    band.keys_go_elsewhere(False)
    assert band.button.isVisible()

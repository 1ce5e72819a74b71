"""The report of a test at the terminal: a finding's lines stay inside the table and below their own words."""

from __future__ import annotations

from bench.acceptance.decision import Verdict
from bench.acceptance.report import report
from bench.acceptance.result import BESIDES, OR_ELSE, Finding, NextStep, TestResult

_WIDTH = 110
_LONG = "all secondaries read low by the same share and what that means takes more words than a line of the table holds"


def _report(remedy: str) -> list[str]:
    finding = Finding("turns_wrong", "heater", "-2 turns", 0.9, (_LONG,), "series sum", remedy)
    result = TestResult(Verdict.REJECTED, (), (finding,), NextStep(_LONG, _LONG))
    return report(result, {"turns_wrong:heater": _LONG}).splitlines()


def test_long_words_are_broken_at_the_table_s_width() -> None:
    lines = _report(OR_ELSE.join((_LONG, _LONG)))
    assert max(len(line) for line in lines) <= _WIDTH
    assert " ".join(" ".join(lines).split()).count(_LONG) == 6  # sentence, evidence, two rungs, twice in what is next


def test_a_ladder_stands_a_rung_a_line_and_names_the_second_fault() -> None:
    lines = _report(BESIDES.join((OR_ELSE.join(("leave it: 5.9 V", "thread them: 6.6 V")), "restack")))
    at = lines.index("           remedy, the least work first:")
    assert lines[at + 1 : at + 4] == [
        "           1  leave it: 5.9 V",
        "           2  thread them: 6.6 V",
        "           3  and besides: restack",
    ]


def test_one_way_to_mend_it_is_one_line() -> None:
    assert "           remedy: mark the leads anew" in _report("mark the leads anew")

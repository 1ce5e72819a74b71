"""What is not excluded of a shorted turn stands once in the result, in the report and in what is kept."""

from __future__ import annotations

import json
from typing import Any

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.report import report
from bench.acceptance.result import NotDone, TestResult
from bench.job.procedure_file import Stage
from bench.whole_test import sentences
from tests.acceptance.ideal_bench import run_ideal
from tests.acceptance.short import run_short, short_procedure

WORDS = "shorted turn not excluded"


def said(result: TestResult) -> NotDone | None:
    found = [one for one in result.not_done if WORDS in one.reason]
    assert len(found) <= 1
    text, kept = report(result, sentences(result)), json.dumps(result.as_json())
    assert text.count(WORDS) == kept.count(WORDS) == len(found)
    assert "a shorted turn is not excluded" not in text
    return found[0] if found else None


def test_watts_that_were_read_well_leave_nothing_to_say() -> None:
    result, _ = run_ideal()
    assert result.verdict is Verdict.ACCEPTED
    assert said(result) is None


@pytest.mark.parametrize(
    "bench",
    [
        {"equipment": {"series_ohms": None}},
        {"skipped": frozenset({"core_watts"})},
        {"skipped": frozenset({"core_watts", "low_watts"})},
        {"typed": {"insulation:ht": "0.5 Mohm"}},
        {"change": lambda take, connect, value: None if take.step == "core_watts" else value},
    ],
    ids=["no resistor", "skipped", "both skipped", "stopped before mains", "not readable"],
)
def test_without_watts_it_is_said_once(bench: dict[str, Any]) -> None:
    result, _ = run_ideal(**bench)
    told = said(result)
    assert told is not None


def test_watts_that_are_read_badly_say_down_to_what_a_shorted_turn_is_excluded() -> None:
    """100 ohm in place of 1 kohm and a meter to +-0.3 V: watts to about +-0.6 W."""
    result, _ = run_ideal(equipment={"series_ohms": 100.0}, floor=0.15)
    told = said(result)
    assert told is not None
    assert not told.required
    assert "% probable by all readings" in told.reason
    assert "excluded is one that takes more than" in told.reason
    assert " W at 230 V, a closed turn of less than" in told.reason
    assert "even dead, a turn of" in told.reason


def test_of_the_unit_in_its_equipment_nothing_is_said() -> None:
    kinds = ("refit", "earth_bond", "set_insulation")
    result, _ = run_short(short_procedure(*kinds, stage=Stage.IN_EQUIPMENT))
    assert said(result) is None

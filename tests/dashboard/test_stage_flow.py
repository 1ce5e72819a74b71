"""Going through the questions of a stage while the record answers late."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.dashboard.restack.flow import Flow
from bench.job.file import read_job
from bench.records.entry import Kind
from bench.sitting.stage_answering import StageAnswering
from tests.dashboard.working import a_job

Kept = list[tuple[Kind, str, str | None]]


@pytest.fixture
def answering(home: Path, tmp_path: Path) -> StageAnswering:
    path = a_job(tmp_path)
    return StageAnswering(read_job(path), path)


def flow_of(answering: StageAnswering) -> tuple[Flow, Kept]:
    kept: Kept = []
    flow = Flow(lambda kind, key, value: kept.append((kind, key, value)))
    flow.take(answering.look())
    return flow, kept


def test_a_look_at_the_record_from_before_an_answer_takes_nothing_back(answering: StageAnswering) -> None:
    flow, kept = flow_of(answering)
    before = answering.look()
    flow.go_to("interleave")
    flow.choose("butt")
    flow.take(before)
    assert flow.key == "gap"
    assert flow.typed(Kind.RESTACK, "gap", "0.1") == ""
    assert kept == [(Kind.RESTACK, "interleave", "butt"), (Kind.RESTACK, "gap", "0.1 mm")]


def test_a_line_answers_the_question_that_it_was_put_for(answering: StageAnswering) -> None:
    flow, kept = flow_of(answering)
    flow.go_to("stack")
    assert flow.typed(Kind.RESTACK, "came_out", "96") == ""
    assert kept == [(Kind.RESTACK, "came_out", "96 E 96 I")]


def test_a_line_of_a_stage_that_is_left_answers_nothing(answering: StageAnswering) -> None:
    flow, kept = flow_of(answering)
    flow.change_stage()
    assert flow.typed(Kind.RESTACK, "note", "a word") == "this is asked no more"
    assert kept == []


def test_the_next_step_of_a_bake_is_asked_before_the_last_one_is_on_the_disk(answering: StageAnswering) -> None:
    answering.begin_although("it goes unfed")
    flow, _ = flow_of(answering)
    flow.go_to("bake 1")
    assert flow.typed(Kind.VARNISH, "bake 1", "90 C 2 h") == ""
    assert flow.key == "bake 2"


def test_what_was_not_kept_counts_no_more(answering: StageAnswering) -> None:
    flow, _ = flow_of(answering)
    flow.typed(Kind.RESTACK, "came_out", "96")
    flow.give_up_what_is_on_its_way()
    flow.take(answering.look())
    flow.go_to("came_out")
    assert flow.kept is None


def test_a_withdrawn_answer_is_gone_at_once_and_after(answering: StageAnswering) -> None:
    flow, kept = flow_of(answering)
    flow.take(answering.answer(Kind.RESTACK, "came_out", "96 E 96 I"))
    flow.go_to("came_out")
    assert flow.withdraw() == ""
    assert flow.kept is None
    flow.take(answering.answer(Kind.RESTACK, "came_out", None))
    assert flow.kept is None
    assert flow.withdraw().startswith("nothing is kept here")
    assert kept == [(Kind.RESTACK, "came_out", None)]

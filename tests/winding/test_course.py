"""What lies ahead in a winding, and where its layers end."""

from __future__ import annotations

import pytest

from bench.design.plan import plan_of
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.job.winding import Lead, Role, Tap, Winding
from bench.winding.course import MarkKind, course_of

WINDING = Winding(
    name="ht",
    role=Role.SECONDARY,
    turns=100,
    layers=(40, 40, 20),
    taps=(Tap(name="centre", turn=50, lead=Lead(tag="5", colour="red")),),
    finish=Lead(tag="6", colour="white"),
)


def test_marks_come_in_the_order_of_their_turns_with_what_to_do_there() -> None:
    marks = course_of(WINDING, 100).marks
    assert [(mark.turn, mark.name) for mark in marks] == [
        (40, "end of layer 1"), (50, "tap centre"), (80, "end of layer 2"), (100, "target"),
    ]  # fmt: skip
    assert marks[1].do == ("bring out the lead 5 (red)",)
    assert marks[3].do[0] == "finish lead 6 (white)"


def test_a_planned_job_says_insulation_traverse_cover_and_screen() -> None:
    job = read_job(example_job("coastal-receiver"))
    plan = plan_of(job)
    course = course_of(job.get_winding("primary"), 662, plan)
    first, last = course.marks[0], course.marks[-1]
    assert first.do == ("insulation 0.05 mm, flange to flange", "then to the left")
    assert last.kind is MarkKind.TARGET
    screens = [screen.name for screen in job.screen if screen.after == "primary"]
    assert screens
    assert all(any(name in do and "never touch" in do for do in last.do) for name in screens)


def test_a_layer_that_was_full_early_moves_those_after_it() -> None:
    course = course_of(WINDING, 100, None, (38.0,))
    assert course.ends == (38.0, 78.0, 98.0, 100.0)


def test_a_target_other_than_the_jobs_cuts_the_layers_or_goes_on_with_them() -> None:
    assert course_of(WINDING, 60).ends == (40.0, 60.0)
    assert course_of(WINDING, 150).ends == (40.0, 80.0, 100.0, 120.0, 140.0, 150.0)


def test_a_winding_without_layers_has_its_taps_and_target() -> None:
    course = course_of(WINDING.model_copy(update={"layers": ()}), 100)
    assert [mark.name for mark in course.marks] == ["tap centre", "target"]
    assert course.layer_at(10.0) is None


@pytest.mark.parametrize(
    ("turns", "name"), [(0.0, "end of layer 1"), (39.7, "end of layer 1"), (39.8, "tap centre"), (99.9, None)]
)
def test_a_mark_is_reached_a_quarter_turn_before_it(turns: float, name: str | None) -> None:
    mark = course_of(WINDING, 100).next_after(turns)
    assert (mark.name if mark is not None else None) == name

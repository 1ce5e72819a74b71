"""No figure of a sheet's text goes unread, and no word of it leaves the page."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from bench.design.sheet_text import COLUMNS
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.winding import Lead
from tests.design import sheet_reader as reader
from tests.design import test_sheet_text as winding
from tests.design import test_sheet_text_unit as unit

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


CHECKS = [
    winding.test_the_steps_stand_in_the_order_of_winding_with_former_before_and_core_after,
    winding.test_the_layers_are_those_of_the_plan,
    winding.test_what_a_winding_is_made_of_is_that_of_the_job,
    winding.test_what_is_read_before_a_winding_is_buried_is_that_of_the_design,
    unit.test_wire_to_have_ready_is_enough_and_its_mass_that_of_its_length,
    unit.test_former_and_unit_have_the_sizes_of_the_core,
    unit.test_the_coil_grows_across_the_tongue_as_planned,
    winding.test_the_foil_is_that_of_the_plan_and_its_ends_read_one_turn,
    unit.test_every_end_comes_out_where_its_turn_lies,
    unit.test_as_many_laminations_go_in_as_the_stack_holds,
    unit.test_figures_that_are_the_same_on_every_sheet_stand_where_they_should,
]


def _blind_to(job: Job, text: str, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether all checks pass on that text."""
    monkeypatch.setattr(reader, "text_of", lambda _: text)
    for check in CHECKS:
        try:
            check(job)
        except (AssertionError, pytest.fail.Exception, LookupError, StopIteration, ValueError):
            return False
    return True


@pytest.mark.parametrize(("job", "every"), [(OPENER, 1), (RECEIVER, 3)], ids=["gate-opener", "coastal-receiver"])
def test_a_figure_changed_anywhere_is_noticed(job: Job, every: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that no figure on the sheet is one that nobody holds against anything."""
    text = reader.text_of(job)
    assert _blind_to(job, text, monkeypatch)
    unnoticed = []
    for match in list(re.finditer(r"\d+(?:\.\d+)?", text))[::every]:
        digits = match.group()
        changed = digits[:-1] + str((int(digits[-1]) + 4) % 10)
        altered = text[: match.start()] + changed + text[match.end() :]
        if _blind_to(job, altered, monkeypatch):
            unnoticed.append(text[max(0, match.start() - 30) : match.end() + 10])
    assert not unnoticed, "\n".join(unnoticed)


@JOBS
def test_no_line_is_wider_than_the_page(job: Job) -> None:
    assert max(len(line) for line in reader.text_of(job).splitlines()) <= COLUMNS


def test_words_of_any_length_and_kind_keep_the_page() -> None:
    wild = Lead(tag="T" * 90, colour="green and yellow " * 9, side="\x1b[31munder\nthe band")
    winding = OPENER.winding[1].model_copy(update={"start": wild, "note": "x" * 300})
    text = reader.text_of(OPENER.model_copy(update={"winding": (OPENER.winding[0], winding)}))
    assert max(len(line) for line in text.splitlines()) <= COLUMNS
    assert "\x1b" not in text


def _narrow(job: Job) -> Iterator[str]:
    core = job.core.model_copy(update={"window_width": 12e-3})
    yield from reader.text_of(job.model_copy(update={"core": core})).splitlines()


def test_what_does_not_fit_stands_before_the_cautions() -> None:
    lines = list(_narrow(RECEIVER))
    top = next(number for number, line in enumerate(lines) if "DOES NOT FIT" in line)
    assert top < lines.index("First")
    assert "0.8433 mm too" in " ".join(lines[top : top + 2])

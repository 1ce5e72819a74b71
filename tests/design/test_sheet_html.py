"""The page to print says what the text says, and holds the drawing."""

from __future__ import annotations

import html
import re

import pytest

from bench.design.plan import plan_of
from bench.design.section import section_of
from bench.design.sheet import sheet_of
from bench.design.sheet_html import sheet_html
from bench.design.sheet_words import sections, title
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import rules_named

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


def _page(job: Job) -> str:
    plan = plan_of(job)
    return sheet_html(sheet_of(plan, rules_named()), section_of(plan))


def _cells(page: str) -> list[str]:
    return [html.unescape(one) for one in re.findall(r"<td[^>]*>([^<]*)</td>", page)]


@JOBS
def test_every_word_of_the_sheet_is_on_the_page(job: Job) -> None:
    page, sheet = _page(job), sheet_of(plan_of(job), rules_named())
    words, said = html.unescape(page), _cells(page)
    assert title(sheet) in words
    for one in sections(sheet):
        assert one.heading in words
        for text in (*one.lines, *one.checks, *(text for _, text in one.facts)):
            assert text in words
        for table in filter(None, (one.table, one.readings)):
            for row in table.rows:
                assert all(cell in said for cell in row)


@JOBS
def test_each_layer_has_a_box_to_tick(job: Job) -> None:
    plan = plan_of(job)
    rows = re.findall(r'<td class="tick"><span class="box"></span></td>\s*<td class="n">(\d+)</td>', _page(job))
    assert [int(one) for one in rows] == [layer.number for one in plan.windings for layer in one.layers]


def test_it_prints_on_a4_and_fetches_nothing() -> None:
    page = _page(RECEIVER)
    assert "@page { size: A4" in page
    assert "<svg" in page
    assert not re.search(r"(?:src|href)=|url\((?!#)|@import", page)


def test_what_does_not_fit_stands_at_the_top() -> None:
    narrow = RECEIVER.core.model_copy(update={"window_width": 12e-3})
    page = _page(RECEIVER.model_copy(update={"core": narrow}))
    assert page.index("DOES NOT FIT: the build is 12.84 mm") < page.index("Local code")


def test_what_a_person_typed_is_inert() -> None:
    winding = OPENER.winding[0].model_copy(update={"note": "<script>alert(1)</script>"})
    page = _page(OPENER.model_copy(update={"winding": (winding, OPENER.winding[1])}))
    assert "<script" not in page
    assert "&lt;script&gt;" in page

"""The sheet on paper has the design's own figures, in the words of the page; read back by a program of others."""

from __future__ import annotations

import io

import pypdf
import pytest

from bench.design.plan import PlannedScreen, plan_of
from bench.design.section import section_of
from bench.design.sheet import sheet_of
from bench.design.sheet_paper import sheet_paper
from bench.design.sheet_words import sections, title
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import rules_named

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])
_MADE: dict[str, pypdf.PdfReader] = {}


def _paper(job: Job) -> pypdf.PdfReader:
    number = job.identity.number
    if number not in _MADE:
        plan = plan_of(job)
        _MADE[number] = pypdf.PdfReader(io.BytesIO(sheet_paper(sheet_of(plan, rules_named()), section_of(plan))))
    return _MADE[number]


def _words(job: Job) -> str:
    """All that can be read, blanks made one; what stands at the foot of each page left out."""
    return " ".join(_page_words(page) for page in _paper(job).pages)


def _page_words(page: pypdf.PageObject) -> str:
    return " ".join(page.extract_text().replace("\u200b", "").split())


@JOBS
def test_each_layer_is_laid_as_the_plan_has_it(job: Job) -> None:
    words = _words(job)
    layers = [layer for one in plan_of(job).windings for layer in one.layers]
    assert len(layers) >= 10
    for layer in layers:
        total = layer.first_turn + layer.turns
        places = f"{layer.start * 1e3:.1f} {layer.end * 1e3:.1f} {layer.pitch * 1e3:.3f}"
        row = f"{layer.number} {layer.turns} {total} {places}"
        assert f"{row} to the {'right' if layer.direction > 0 else 'left'}" in words, row


@JOBS
def test_taps_screens_and_lengths_are_the_design_s(job: Job) -> None:
    words, plan = _words(job), plan_of(job)
    taps = [tap for one in plan.windings for layer in one.layers for tap in layer.taps]
    assert [tap.name for tap in taps if f"tap {tap.name} after {tap.in_layer:g} turns" not in words] == []
    for one in plan.items:
        if isinstance(one, PlannedScreen):
            assert f"{one.width * 1e3:.4g} mm wide, {one.length * 1e3:.4g} mm long" in words
        else:
            assert f"{one.name} {'' if one.winding.wire is None else one.winding.wire.name}" in words
            assert f"{one.wire_length:.1f}" in words


@JOBS
def test_every_word_of_the_sheet_is_on_the_paper(job: Job) -> None:
    words = _words(job)
    sheet = sheet_of(plan_of(job), rules_named())
    # A word may be broken at its hyphen, and a table's cell into two lines.
    unbroken = words.replace(" ", "")
    said = [title(sheet)]
    for one in sections(sheet):
        said += [one.heading, *one.lines, *one.checks, *(cell for row in one.facts for cell in row)]
        said += [cell for table in (one.table, one.readings) if table for row in table.rows for cell in row]
    assert [text for text in said if "".join(text.split()) not in unbroken] == []


@JOBS
def test_it_is_a4_numbered_tagged_and_large_enough(job: Job) -> None:
    reader = _paper(job)
    pages = list(reader.pages)
    assert [round(float(side)) for side in pages[0].mediabox[2:]] == [595, 842]
    assert reader.root_object["/Lang"] == "en"
    for number, page in enumerate(pages, start=1):
        assert f"Winding sheet {job.identity.number} page {number} of {len(pages)}" in _page_words(page)
    # Of all but the drawing, whose words are as large as on the sheet's other forms.
    sizes: list[float] = []

    def look(text: str, _: object, place: list[float], __: object, size: float) -> None:
        if text.strip():
            sizes.append(size * abs(place[3] or 1.0))

    for page in pages[:-1]:
        page.extract_text(visitor_text=look)
    assert min(sizes) >= 10.0 - 0.01


def test_a_build_that_does_not_fit_says_so_first() -> None:
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    job = _job_of(text.replace('lamination = "EI 96"', 'lamination = "EI 96"\nwindow_width = "12 mm"'))
    plan = plan_of(job)
    made = pypdf.PdfReader(io.BytesIO(sheet_paper(sheet_of(plan, rules_named()), section_of(plan))))
    assert "DOES NOT FIT: the build is" in _page_words(made.pages[0])


def test_what_a_person_typed_is_text() -> None:
    hostile = "#panic(1) *b* $x$ ] \u202e ก"
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    job = _job_of(text.replace('note = "wound two in hand"', f'note = "{hostile}"'))
    plan = plan_of(job)
    made = pypdf.PdfReader(io.BytesIO(sheet_paper(sheet_of(plan, rules_named()), section_of(plan))))
    words = " ".join(_page_words(page) for page in made.pages)
    assert "#panic(1) *b* $x$ ] " in words
    assert "[U+0E01]" in words or "ก" in words


def test_the_same_job_gives_the_same_paper() -> None:
    plan = plan_of(OPENER)
    made = [sheet_paper(sheet_of(plan, rules_named()), section_of(plan)) for _ in range(2)]
    assert made[0] == made[1]


def _job_of(text: str) -> Job:
    import tomllib

    return Job.model_validate(tomllib.loads(text))

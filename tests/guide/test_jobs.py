"""The two whole jobs of the guide go as their pages show: every command typed, every answer given, on a rehearsal."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.guide.page import CUT, GUIDE, Act, read_page, shows
from tests.guide.walk import Walk

WALKED = ("job-by-hand.md", "job-with-bench-meter.md")


@pytest.mark.long
@pytest.mark.parametrize("page", WALKED)
def test_a_job_goes_as_its_page_shows(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    walk, ran = Walk(tmp_path, monkeypatch), []
    try:
        for part in read_page((GUIDE / page).read_text(encoding="utf-8")):
            if isinstance(part, Act):
                walk.does(part)
            else:
                ran += walk.follow(part)
    finally:
        walk.close()
    wrong = [
        f"$ {one.command}\n{one.said}--- the page:\n{one.shown}--- status {one.status}, the page's {one.wanted}"
        for one in ran
        if one.status != one.wanted or not shows(one.shown, one.said, measured=one.measured)
    ]
    assert not wrong, "\n".join(wrong)
    assert len(ran) > 10
    assert (tmp_path / "certificate.pdf").read_bytes().startswith(b"%PDF")
    for drawing in tmp_path.glob("*.svg"):
        drawn = re.sub(r"my-receiver-\d{8}-\d{4}", "my-receiver", drawing.read_text(encoding="utf-8"))
        shown = GUIDE / f"{page.removesuffix('.md')}-{drawing.name}"
        assert drawn == shown.read_text(encoding="utf-8"), f"{shown.name} shows another drawing"


def test_what_is_shown_is_compared_whatever_the_breaks_of_its_lines() -> None:
    assert shows("a b\nc\n", "a\nb c\n")
    assert not shows("a b\n", "a c\n")
    assert not shows("a b\n", "a b\nc\n")
    assert shows(f"a\n{CUT}\nd\n", "a\nb\nc\nd\n")
    assert shows(f"{CUT}\nb\n{CUT}\n", "a\nb\nc\n")
    assert not shows(f"{CUT}\nc\nb\n{CUT}\n", "a\nb\nc\n")
    assert not shows(f"a\n{CUT}\na\n", "a\n")
    assert shows("230.1 V, 2 turns\n", "229.8 V, 2 turns\n", measured=True)
    assert not shows("230.1 V, 2 turns\n", "229.8 V, 3 turns\n", measured=True)
    assert not shows("230.1 V\n", "229.8 V\n")

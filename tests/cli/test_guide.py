"""`turnproof guide`: its pages listed, shown on a terminal, written for a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from bench.guide import FOLDER, pages
from bench.guide.as_html import anchor
from bench.guide.as_text import as_text
from tests.cli.conftest import Ended

Run = Callable[..., Ended]


def test_without_a_page_the_pages_are_listed_with_a_line_each(run: Run) -> None:
    ended = run("guide")
    assert ended.status == 0
    listed = [line.split()[0] for line in ended.out.splitlines()[:-1] if not line.startswith(" ")]
    assert listed == [page.name for page in pages()]
    assert {f"{name}.md" for name in listed} == {path.name for path in FOLDER.glob("*.md")}


def test_a_page_in_a_pipe_is_plain_text(run: Run) -> None:
    ended = run("guide", "safety")
    assert ended.status == 0
    assert ended.out.startswith("Safety\n======\n")
    assert "**" not in ended.out
    assert "<!--" not in ended.out
    assert "\x1b" not in ended.out
    assert max(map(len, ended.out.splitlines())) <= 100


@pytest.mark.parametrize("name", ["Safety", "safety.md", "SAFETY.MD"])
def test_a_page_is_found_whatever_its_capitals_and_ending(run: Run, name: str) -> None:
    assert run("guide", name).out.startswith("Safety\n")


def test_a_wrong_name_gets_one_line_with_the_near_one(run: Run) -> None:
    ended = run("guide", "saftey")
    assert ended.status == 3
    assert ended.error.endswith(": did you mean safety?\n")
    assert len(ended.error.splitlines()) == 1


def test_on_a_terminal_the_page_goes_through_the_pager_and_is_as_wide_as_the_terminal(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    paged: list[str] = []
    monkeypatch.setattr("click.echo_via_pager", paged.append)
    monkeypatch.setattr("bench.cli.wrapped.terminal_columns", lambda stream: 60)
    assert run("guide", "physics").status == 0
    (text,) = paged
    assert max(len(line) for line in text.splitlines() if not line.startswith("    ")) <= 60


def test_where_the_pages_lie_is_said(run: Run) -> None:
    assert Path(run("guide", "--path").out.strip()) == FOLDER


@pytest.mark.parametrize("columns", [40, 80, 100])
@pytest.mark.parametrize("page", [page.name for page in pages()])
def test_what_is_typed_is_left_as_it_is(page: str, columns: int) -> None:
    markdown = next(one for one in pages() if one.name == page).text
    shown = as_text(markdown, columns)
    for block in re.findall(r"^```\w*\n(.*?)^```$", markdown, re.M | re.S):
        for line in block.splitlines():
            assert f"    {line}".rstrip() in shown.splitlines()


class _Found(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.pictures: list[str] = []
        self.names: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.names.add(found.get("id", ""))
        if tag == "a" and "href" in found:
            self.links.append(found["href"])
        if tag == "img":
            self.pictures.append(found["src"])
        assert tag not in ("script", "link", "iframe"), tag


def test_web_pages_need_nothing_but_themselves_and_their_links_lead_somewhere(run: Run, tmp_path: Path) -> None:
    ended = run("guide", "--html", str(tmp_path / "new" / "guide"))
    assert ended.status == 0
    written = {path.name: _Found(path.read_text(encoding="utf-8")) for path in (tmp_path / "new" / "guide").iterdir()}
    assert len(written) == len(pages())
    for found in written.values():
        assert all(
            picture.startswith(("data:image/png;base64,", "data:image/svg+xml;base64,")) for picture in found.pictures
        )
    assert sum(len(found.pictures) for found in written.values()) >= 4
    for name, found in written.items():
        for link in found.links:
            file, _, heading = link.partition("#")
            assert not file or file in written or file.startswith("https://"), (name, link)
            if heading and not file.startswith("https://"):
                assert heading in written[file or name].names, (name, link)


def test_a_page_shows_no_mark_of_its_tests_and_no_raw_markdown(run: Run, tmp_path: Path) -> None:
    run("guide", "--html", str(tmp_path / "guide"))
    for path in (tmp_path / "guide").iterdir():
        text = re.sub(
            r"<(pre|code)\b.*?</\1>|<style>.*?</style>|src=\"[^\"]*\"", "", path.read_text(encoding="utf-8"), flags=re.S
        )
        assert "<!--" not in text
        assert "&lt;!--" not in text
        assert "```" not in text
        assert "](" not in text


def test_a_folder_that_can_not_be_written_is_one_line(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    ended = run("guide", "--html", str(tmp_path / "file" / "guide"))
    assert ended.status == 3
    assert "can't be written" in ended.error
    assert len(ended.error.splitlines()) == 1


def test_headings_are_linked_as_where_the_repository_is_shown() -> None:
    assert anchor("This meter can't tell") == "this-meter-cant-tell"

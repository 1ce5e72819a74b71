"""Which pages the guide has, in the order of its index, `start.md`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

__all__ = ["FOLDER", "Page", "page_named", "pages"]

FOLDER = Path(__file__).resolve().parent
_START = "start"
_ENTRY = re.compile(r"^- \[([^\]]+)\]\(([\w-]+)\.md\): (.*(?:\n  .*)*)$", re.MULTILINE)
_COMMENT = re.compile(r"^<!--.*?-->\n", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Page:
    """name: as a person types it, `meters`;  about: one line."""

    name: str
    title: str
    about: str

    @property
    def path(self) -> Path:
        return FOLDER / f"{self.name}.md"

    @property
    def text(self) -> str:
        """Its Markdown, without what is said there to the tests."""
        return _COMMENT.sub("", self.path.read_text(encoding="utf-8"))


def pages() -> list[Page]:
    """All pages, the index first, then in its order."""
    index = (FOLDER / f"{_START}.md").read_text(encoding="utf-8")
    listed = [Page(name, title, " ".join(about.split())) for title, name, about in _ENTRY.findall(index)]
    return [Page(_START, "Where to begin", "which page for whom"), *listed]


def page_named(name: str) -> Page | None:
    """The page `meters`, also as `meters.md` or `Meters`; None where there is none."""
    wanted = name.casefold().removesuffix(".md")
    return next((page for page in pages() if page.name == wanted), None)

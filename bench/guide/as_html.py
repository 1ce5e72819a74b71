"""The guide as web pages that need nothing but themselves: pictures inside, links from page to page."""

from __future__ import annotations

import base64
import mimetypes
import re
from pathlib import Path
from typing import TYPE_CHECKING

from bench.guide.pages import FOLDER, Page, pages

if TYPE_CHECKING:
    from markdown_it.token import Token

__all__ = ["as_html", "write_html"]

_FIRST = "index.html"
_PAGE = re.compile(r"([\w-]+)\.md(#.*)?")


def write_html(folder: Path) -> list[Path]:
    """Every page into `folder`, which is made; the index is `index.html`.  Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for page in pages():
        written.append(folder / _file(page.name))
        written[-1].write_text(as_html(page), encoding="utf-8")
    return written


def as_html(page: Page) -> str:
    """One page as a whole HTML document."""
    from jinja2 import Environment, FileSystemLoader
    from markupsafe import Markup

    environment = Environment(loader=FileSystemLoader(FOLDER), autoescape=True, trim_blocks=True, lstrip_blocks=True)
    listed = [(_file(one.name), one.title, one.about) for one in pages()]
    return environment.get_template("page.html").render(
        title=page.title, here=_file(page.name), pages=listed, body=Markup(_body(page.text))
    )


def _body(markdown: str) -> str:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(markdown)
    for at, token in enumerate(tokens):
        if token.type == "heading_open":
            token.attrSet("id", anchor(tokens[at + 1].content))
        for child in token.children or []:
            _led(child)
    return str(reader.renderer.render(tokens, reader.options, {}))


def anchor(heading: str) -> str:
    """The name by which a heading is linked: as on the site that shows this repository."""
    return re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-")


def _led(token: Token) -> None:
    """Pictures go inside; links lead to the written pages; what lies outside the guide is named and not linked."""
    if token.type == "image":
        picture = FOLDER / str(token.attrGet("src"))
        kind = mimetypes.guess_type(picture.name)[0] or "application/octet-stream"
        token.attrSet("src", f"data:{kind};base64,{base64.b64encode(picture.read_bytes()).decode()}")
    elif token.type == "link_open":
        target = str(token.attrGet("href"))
        page = _PAGE.fullmatch(target)
        if page is not None:
            token.attrSet("href", _file(page[1]) + (page[2] or ""))
        elif not target.startswith(("#", "https://", "http://")):
            token.attrs = {"title": target.replace("../", "")}


def _file(name: str) -> str:
    return _FIRST if name == "start" else f"{name}.html"

"""Paper by typst from a template: the fonts that it brings, then those of the machine, then a sign's own number."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

import typst

from bench.design.inert import Exact, inert

__all__ = ["UNSHOWN", "in_our_type", "typeset"]

UNSHOWN = "[U+{:04X}]"
"""In the place of a sign that no font here has: its number in Unicode, so that it is not lost unseen."""
_PROBE = '#set document(title: "x")\n#set text(font: "Libertinus Serif", lang: "en")\n#json(bytes(sys.inputs.told))'
_MOST_TRIES = 400
"""Settings of a probe; a text of many thousands of signs that nobody has a font for is cut short by it."""


def typeset(
    template: Path, told: dict[str, Any], day: str | None = None, files: Mapping[str, bytes] | None = None
) -> bytes:
    """PDF, A4, tagged (PDF/UA-1, as typst makes it).

    told: what the template sets, each text of it made plain but what is Exact;  day: of the document, ISO 8601;
    files: pictures, under the names that told has for them.

    The same gives the same bytes on every machine, since only the fonts that typst brings are used; where they lack a
    sign of what a person typed, those of the machine are asked, too, and what they lack as well is set by its number;
    `unshown` tells the template so.
    """
    with TemporaryDirectory() as folder:
        for name, contents in (files or {}).items():
            (Path(folder) / name).write_bytes(contents)
        return _typeset(template.read_bytes(), inert(told), day, folder)


def _typeset(template: bytes, words: dict[str, Any], day: str | None, root: str) -> bytes:
    for fonts in (_own_fonts(), _all_fonts()):
        try:
            return _set(template, root, json.dumps(words), day, fonts)
        except typst.TypstError as problem:
            if not _is_of_a_sign(problem):
                raise
    lacking = _not_shown(sorted({c for c in _all_text(words) if not c.isascii()}), _all_fonts())
    words = {**_by_number(words, lacking), "unshown": bool(lacking)}
    try:
        return _set(template, root, json.dumps(words), day, _all_fonts())
    except typst.TypstError as problem:
        if not _is_of_a_sign(problem):
            raise
        # Each sign can be shown, and together they can't, as happens to some marks: in the order in which they came.
        return _set(template, root, json.dumps(words), day, _all_fonts(), standard="1.7")


def _set(
    template: bytes,
    root: str,
    told: str,
    day: str | None,
    fonts: typst.Fonts,
    standard: Literal["ua-1", "1.7"] = "ua-1",
) -> bytes:
    noon = None if day is None else int(datetime.fromisoformat(f"{day}T12:00:00+00:00").timestamp())
    where: Any = root  # its stub asks for what the template is, bytes; a path is what it takes
    made = typst.compile(
        template,
        root=where,
        format="pdf",
        sys_inputs={"told": told},
        timestamp=noon,
        font_paths=fonts,
        pdf_standards=[standard],
    )
    return bytes(made)


def _is_of_a_sign(problem: typst.TypstError) -> bool:
    return "could not be displayed" in str(problem)


def _not_shown(signs: list[str], fonts: typst.Fonts) -> frozenset[str]:
    """Those of them that no font has, by halves."""
    lacking: set[str] = set()
    waiting, tries = [signs], 0
    while waiting:
        some = waiting.pop()
        tries += 1
        if tries > _MOST_TRIES:
            lacking |= set(some)
            continue
        try:
            typst.compile(
                _PROBE.encode(), format="pdf", sys_inputs={"told": json.dumps(" ".join(some))}, font_paths=fonts,
                pdf_standards=["ua-1"],
            )  # fmt: skip
        except typst.TypstError:
            if len(some) == 1:
                lacking |= set(some)
            else:
                waiting += [some[: len(some) // 2], some[len(some) // 2 :]]
    return frozenset(lacking)


def _by_number(value: Any, lacking: frozenset[str]) -> Any:
    if isinstance(value, Exact):
        return value
    if isinstance(value, str):
        return "".join(UNSHOWN.format(ord(c)) if c in lacking else c for c in value)
    if isinstance(value, dict):
        return {key: _by_number(one, lacking) for key, one in value.items()}
    if isinstance(value, list):
        return [_by_number(one, lacking) for one in value]
    return value


def _all_text(value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return "".join(_all_text(one) for one in value.values())
    return "".join(_all_text(one) for one in value) if isinstance(value, list) else ""


@cache
def _own_fonts() -> typst.Fonts:
    """Those in the library alone."""
    return typst.Fonts(include_system_fonts=False)


@cache
def _all_fonts() -> typst.Fonts:
    """Those of the machine as well."""
    return typst.Fonts()


def in_our_type(svg: str) -> Exact:
    """A drawing of ours in the type of the paper, which typst brings."""
    return Exact(svg.replace('"DejaVu Sans", Verdana, sans-serif', '"Libertinus Serif", "Times New Roman", serif'))

"""A kept picture small enough for paper and page, or why it can't be shown; the kept file stays what it is.

Set and drawn by typst, so that which way up it was taken counts, and nothing of the file but what is seen goes along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import typst

from bench.records.attachments import problems_of
from bench.records.picture_header import header_of
from bench.records.pictures import KeptPicture

__all__ = ["SIDE", "Shown", "shown"]

SIDE = 720
"""Pixels of the longer side: 40 mm of paper at 450 to the inch."""
_SETTING = """
#set page(width: auto, height: auto, margin: 0pt)
#let kept(..size) = image("/" + sys.inputs.file, format: sys.inputs.form, ..size)
#context {
  let own = measure(kept())
  kept(width: own.width / calc.max(own.width, own.height) * float(sys.inputs.side) * 1pt)
}
"""


@dataclass(frozen=True)
class Shown:
    """picture;  png: empty where there is none to be shown, and problem says why."""

    picture: KeptPicture
    png: bytes
    problem: str = ""


def shown(folder: Path, pictures: Sequence[KeptPicture]) -> tuple[Shown, ...]:
    """Each of them; folder: of the attachments.  A picture that is missing, altered or broken spoils nothing."""
    return tuple(_shown(folder, one) for one in pictures)


def _shown(folder: Path, one: KeptPicture) -> Shown:
    wrong = problems_of(folder, one.body)
    if wrong:
        return Shown(one, b"", wrong[0].rpartition("): ")[2])
    file = str(one.body["file"])
    try:
        data = (folder / file).read_bytes()
    except OSError as problem:
        return Shown(one, b"", f"can't be read: {problem.strerror}")
    header = header_of(data)
    if header.problem:
        return Shown(one, b"", header.problem)
    root: Any = str(folder)  # its stub asks for what the setting is, bytes; a path is what it takes
    try:
        made = typst.compile(
            _SETTING.encode(), root=root, format="png", ppi=72, font_paths=_no_fonts(),
            sys_inputs={"file": file, "form": header.form, "side": str(SIDE)},
        )  # fmt: skip
    except typst.TypstError:
        return Shown(one, b"", "is damaged")
    return Shown(one, bytes(made))


@cache
def _no_fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False)

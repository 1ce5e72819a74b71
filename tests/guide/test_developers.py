"""What whoever changes this is told is so: the picture of the house, the paths, the decisions."""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from pathlib import Path

from bench.guide.as_html import anchor

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
DECISIONS = ROOT / "bench" / "guide" / "decisions" / "decisions.md"


def layers() -> list[list[str]]:
    """Rooms of the picture, the lowest layer first; those that stand apart belong to none."""
    picture = TEXT.partition("## The house")[2].partition("```\n")[2].partition("```")[0]
    parts = re.split(r"^  -+$", picture.partition("  apart:")[0], flags=re.M)
    return [re.findall(r"^  ([a-z_]+)  ", part, re.M) for part in reversed(parts)]


def apart() -> set[str]:
    return set(re.findall(r"^  apart: (\w+)", TEXT, re.M))


@functools.cache
def rooms() -> set[str]:
    found = {path.name for path in (ROOT / "bench").iterdir() if (path / "__init__.py").is_file()}
    return {*found, "drivers", *(path.stem for path in (ROOT / "bench").glob("[a-z]*.py"))}


@functools.cache
def imports() -> tuple[tuple[str, str, Path], ...]:
    """(room, the room that it imports, where)."""
    return tuple(_imports())


def _imports() -> Iterator[tuple[str, str, Path]]:
    for path in [*(ROOT / "bench").rglob("*.py"), *(ROOT / "drivers").glob("*.py")]:
        inside = path.relative_to(ROOT)
        room = inside.parts[1].removesuffix(".py") if inside.parts[0] == "bench" else "drivers"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [f"{node.module}.{alias.name}" for alias in node.names]
            for name in names:
                top, _, rest = name.partition(".")
                other = {"bench": rest.partition(".")[0], "drivers": "drivers"}.get(top, "")
                if other in rooms() and other != room:
                    yield room, other, inside


def test_the_picture_has_every_room_once() -> None:
    shown = [room for layer in layers() for room in layer] + sorted(apart())
    assert sorted(shown) == sorted(rooms() - {"__main__"})


def test_a_room_imports_from_layers_below_its_own() -> None:
    height = {room: at for at, layer in enumerate(layers()) for room in layer}
    wrong = [
        (room, other, str(where))
        for room, other, where in imports()
        if room in height and other in height and height[other] >= height[room]
    ]
    assert wrong == []
    assert {other for room, other, _ in imports() if room == "guide"} == set()
    assert {other for room, other, _ in imports() if room == "rehearsal"} <= {"job", "quantities"}


def test_paths_that_are_named_are_there() -> None:
    wrong = []
    for name in re.findall(r"`((?:bench|drivers|profiles|tests|\.ci)/[\w./-]*)`", TEXT):
        if not (ROOT / name).exists():
            wrong.append(name)
    assert wrong == []


def test_every_decision_has_its_number_and_its_place_in_the_index() -> None:
    headings = re.findall(r"^## ((\d+) .*)$", DECISIONS.read_text(encoding="utf-8"), re.M)
    linked = re.findall(r"^- \[(\d+)\]\(bench/guide/decisions/decisions\.md#([\w-]+)\)", TEXT, re.M)
    assert linked == [(number, anchor(heading)) for heading, number in headings]
    numbers = [int(number) for _, number in headings]
    assert numbers == sorted(set(numbers))

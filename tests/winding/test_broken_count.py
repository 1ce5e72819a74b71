"""A count that nothing bounds any more: stored and shown as such, never as infinity."""

from __future__ import annotations

import io
import json
import math
from pathlib import Path
from typing import Any

from bench.cli.winding_views import JsonView, TerminalView
from bench.job.winding import Role, Winding
from bench.records.entry import Kind
from bench.records.store import Store
from bench.winding.progress import Standing
from bench.winding.session import WindingSession
from drivers.counting import Broken, Count

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100)
BROKEN = Count(42.0, -math.inf, math.inf, 0.0, 0.0, "hall ...")


class Source:
    def poll(self, timeout_s: float) -> list[Any]:
        return [Broken("another board answers: count the turns and set the count", 0.0), BROKEN]

    def snapshot(self) -> dict[str, object] | None:
        return {"broken": True}


def _turned_over(path: Path) -> tuple[list[dict[str, Any]], str, str]:
    """One look at such a counter: what is in the record, and what both views said."""
    said, data = io.StringIO(), io.StringIO()
    with Store(path) as store:
        session = WindingSession(
            WINDING, 100, Source(), lambda kind, body: store.append("J-1", Kind(kind), body) and None,
            (TerminalView(said, live=False), JsonView(data)),
        )  # fmt: skip
        session.turn_over()
        return [entry.body for entry in store.entries("J-1", Kind.COUNT)], said.getvalue(), data.getvalue()


def test_it_is_stored_without_bounds(tmp_path: Path) -> None:
    (kept,), _, _ = _turned_over(tmp_path / "r.sqlite")
    assert (kept["turns"], kept["low"], kept["high"]) == (42.0, None, None)


def test_a_person_is_told_what_to_do(tmp_path: Path) -> None:
    _, said, _ = _turned_over(tmp_path / "r.sqlite")
    assert Standing.UNSURE in said
    assert "anywhere: count the turns, then start again with --from TURNS" in said
    assert "inf" not in said


def test_it_is_json_that_others_can_read(tmp_path: Path) -> None:
    _, _, data = _turned_over(tmp_path / "r.sqlite")
    line = json.loads(data.splitlines()[-1], parse_constant=lambda name: f"not JSON: {name}")
    assert (line["turns"], line["low"], line["high"]) == (42.0, None, None)

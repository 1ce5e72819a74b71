"""One line of a job's history in full: when, which entries, and what there is to say beyond a line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bench.records.entry import Kind
from bench.records.moments import second
from bench.sitting.history import History, Line

__all__ = ["detail_of"]


def detail_of(line: Line, history: History | None) -> tuple[str, str]:
    """A title and the words."""
    which = f"entry {line.last}" if line.seq == line.last else f"entries {line.seq} to {line.last}"
    of = "" if history is None else f" of {history.entries}"
    return f"{which}{of}, {second(line.at)}", _words(line)


def _words(line: Line) -> str:
    body = line.body
    if line.kind == Kind.NOTE:
        return str(body.get("text", line.words))
    if line.kind == Kind.RESULT:
        return _result(body)
    if line.kind == Kind.STEP and body.get("note"):
        return f"{line.words}. {body['note']}"
    return line.words


def _result(body: Mapping[str, Any]) -> str:
    words = [f"Test ended {body.get('verdict', 'without a verdict')}."]
    likely = [_finding(one) for one in body.get("findings") or () if isinstance(one, Mapping)]
    if likely:
        words.append(f"Likely: {', '.join(likely[:3])}.")
    undone = [str(one.get("id", "")) for one in body.get("not_done") or () if isinstance(one, Mapping)]
    if undone:
        words.append(f"Not done: {', '.join(undone).replace('_', ' ').replace(':', ' of ')}.")
    return " ".join(words)


def _finding(one: Mapping[str, Any]) -> str:
    what = str(one.get("fault", "")).replace("_", " ")
    share = one.get("probability")
    sure = "" if not isinstance(share, (int, float)) else f" {min(share, 0.99) * 100:.0f} %"
    return f"{what}{sure}"

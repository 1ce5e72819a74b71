"""The worked exchange of the page about the JSON operator: run with these replies, and written on the page."""

from __future__ import annotations

import json
import os
import re
import textwrap
from pathlib import Path
from typing import Any

from tests.cli.running import JOB, turnproof

PAGE = Path(__file__).resolve().parents[2] / "bench" / "guide" / "test-by-json.md"

_EXCHANGE = re.compile(r"<!-- exchange -->\n(?:```text\n(.*?)```\n)?", re.DOTALL)
_RESULT = re.compile(r"<!-- result -->\n(?:```json\n(.*?)```\n)?", re.DOTALL)
_COLUMNS = 116

REPLIES = [
    '{"id": "a1", "done": true}',
    '{"id": "a2", "value": "20.5 degC"}',
    '{"id": "a3", "value": "45 mm"}',
    '{"id": "a4", "done": true}',
    '{"id": "a5", "done": true}',
    '{"id": "a6", "done": true}',
    '{"id": "a7", "value": "0.3 ohm"}',
    '{"id": "a8", "done": true}',
    '{"id": "a8", "value": "16.3 ohm"}',
    '{"id": "a9", "value": "105.1 ohm"}',
    '{"id": "a10", "value": "109.5 ohm"}',
    '{"id": "a11", "skip": "socket 6 is worn"}',
    '{"id": "a12", "value": "0.4 ohm"}',
    '{"id": "a13", "value": "690 Mohm"}',
    '{"id": "a14", "value": "830 Mohm"}',
    '{"id": "a15", "value": "870 Mohm"}',
    '{"id": "a16", "value": "340 Mohm"}',
    '{"id": "a17", "value": "340 Mohm"}',
    '{"id": "a18", "done": true}',
    '{"id": "a19", "done": true}',
    '{"id": "a20", "value": "50.0 Hz"}',
    '{"id": "a21", "done": true}',
    '{"id": "a22", "stop": "relay 14 does not answer"}',
    '{"id": "a23", "done": true}',
]


def exchange(folder: Path, replies: list[str]) -> list[str]:
    """What the program wrote, a line each, when it was given these replies."""
    environment = {**os.environ, "TURNPROOF_HOME": str(folder)}
    said = "".join(f"{reply}\n" for reply in replies)
    done = turnproof("test", JOB, "--meter", "hand", "--operator", "json", typed=said, env=environment)
    return done.stdout.splitlines()


def exchange_on(page: str) -> tuple[list[str], list[str]]:
    """The program's lines and the replies that the page shows."""
    found = _EXCHANGE.search(page)
    assert found is not None
    asked: list[str] = []
    replied: list[str] = []
    into = asked
    for line in (found[1] or "").splitlines():
        if line[:2] in ("> ", "< "):
            into = asked if line[0] == ">" else replied
            into.append(line[2:])
        elif line.strip():
            into[-1] += f" {line.strip()}"
    return asked, replied


def result_on(page: str) -> dict[str, Any]:
    """The shortened result of the page."""
    found = _RESULT.search(page)
    assert found is not None
    shortened: dict[str, Any] = json.loads(found[1])["result"]
    return shortened


def shortened(line: str) -> dict[str, Any]:
    """A result with one step, two things not done, and the sources of that step's doubt without their moments."""
    whole = json.loads(line)["result"]
    steps = [one for one in whole["steps"] if one["id"] == "resistance:primary"]
    for component in steps[0]["components"]:
        component["source"] = re.sub(r"[0-9-]+T[0-9:.+]+:[0-9.]+", "MOMENT", component["source"])
        component["u"] = round(component["u"], 6)
    for key in ("measured", "expected", "uncertainty", "lower", "upper"):
        steps[0][key] = round(steps[0][key], 4)
    return {**whole, "steps": steps, "not_done": whole["not_done"][:2]}


def with_exchange(page: str, said: list[str], replies: list[str]) -> str:
    """The page with this exchange and its result."""
    lines = []
    for ask, reply in zip(said, replies, strict=False):
        for sign, text in ((">", ask), ("<", reply)):
            lines += textwrap.wrap(f"{sign} {text}", _COLUMNS, subsequent_indent="    ", break_on_hyphens=False)
    block = "".join(f"{line}\n" for line in lines)
    page = _EXCHANGE.sub(lambda _: f"<!-- exchange -->\n```text\n{block}```\n", page)
    result = json.dumps({"result": shortened(said[-1])}, indent=2, ensure_ascii=False)
    return _RESULT.sub(lambda _: f"<!-- result -->\n```json\n{result}\n```\n", page)

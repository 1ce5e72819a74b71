"""Jobs of units as found, and what the record holds of them: for the tests of `turnproof survey`."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from bench.job.profiles import example_job
from tests.cli.running import written

EMPTY = 'schema = 1\n[identity]\nnumber = "E-1"\n'
WINDINGS = "primary\np\n117 V\nht\n\n500 V\nheater\n\n6.3 V\n\n\n"
"""Typed where a unit's windings are asked for: three of them."""


def uncounted(name: str, folder: Path) -> str:
    """A shipped job, its unit as found read and not yet stripped."""
    planned, mark, found = example_job(name).read_text(encoding="utf-8").partition("[as_found]\n")
    return written(folder / f"{name}.toml", planned + mark + re.sub(r"(?m)^turns(_within)? = .*\n", "", found))


def record_of(run: Callable[..., Any], job: str) -> list[dict[str, Any]]:
    entries: list[dict[str, Any]] = json.loads(run("record", job, "--json").out)["entries"]
    return entries

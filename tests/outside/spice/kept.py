"""The netlists and ngspice's results as they are kept: netlists/NAME.cir, results/NAME.json."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.outside.spice.case import SpiceCase

__all__ = ["Result", "digest", "keep", "kept_netlist", "kept_result"]

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Result:
    """program and version; hash of the netlist that was run; what it measured, SI."""

    program: str
    netlist: str
    measured: dict[str, float]


def digest(netlist: str) -> str:
    """Hash of a netlist's text."""
    return hashlib.sha256(netlist.encode("utf-8")).hexdigest()


def kept_netlist(case: SpiceCase) -> str:
    return (HERE / "netlists" / f"{case.name}.cir").read_text(encoding="utf-8")


def kept_result(case: SpiceCase) -> Result:
    return Result(**json.loads((HERE / "results" / f"{case.name}.json").read_text(encoding="utf-8")))


def keep(case: SpiceCase, netlist: str, result: Result) -> None:
    """Write both files of a case."""
    for folder, suffix, text in (
        ("netlists", "cir", netlist),
        ("results", "json", json.dumps(asdict(result), indent=2, sort_keys=True) + "\n"),
    ):
        (HERE / folder).mkdir(exist_ok=True)
        (HERE / folder / f"{case.name}.{suffix}").write_text(text, encoding="utf-8")

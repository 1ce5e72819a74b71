"""ngspice in batch: a netlist in, its measurements out."""

from __future__ import annotations

import re
import shutil
import subprocess

__all__ = ["NgspiceFailed", "installed", "run", "version"]

_MEASURED = re.compile(r"^(\w+)\s+=\s+([-+0-9.eE]+)\b", re.MULTILINE)


class NgspiceFailed(RuntimeError):
    """ngspice ended without the measurements that were asked for."""


def installed() -> bool:
    return shutil.which("ngspice") is not None


def version() -> str:
    """Name and version, as the program gives them."""
    said = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    found = re.search(r"ngspice-[\w.]+", said)
    return found.group() if found else "ngspice of unknown version"


def run(netlist: str) -> dict[str, float]:
    """Measurements of a netlist by name, lower case. Raises NgspiceFailed."""
    done = subprocess.run(
        ["ngspice", "-b", "/dev/stdin"], input=netlist, capture_output=True, text=True, check=False, timeout=600
    )
    asked = {line.split()[2].lower() for line in netlist.splitlines() if line.strip().lower().startswith("meas tran")}
    found = {name.lower(): float(value) for name, value in _MEASURED.findall(done.stdout)}
    if not asked <= found.keys():
        lacking = ", ".join(sorted(asked - found.keys()))
        raise NgspiceFailed(f"ngspice did not measure {lacking}\n{done.stdout[-2000:]}\n{done.stderr[-2000:]}")
    return {name: found[name] for name in sorted(asked)}

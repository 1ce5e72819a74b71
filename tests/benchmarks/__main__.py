"""Run the benchmarks and print medians, each beside its reference of the same run."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "benchmarks.json"
        command = [
            sys.executable, "-m", "pytest", "-q", "-p", "no:xdist", "-o", "addopts=", "-m", "benchmark",
            "tests/benchmarks", f"--benchmark-json={out}", "--benchmark-columns=median,rounds",
        ]  # fmt: skip
        status = subprocess.run(command, check=False, stdout=subprocess.DEVNULL).returncode
        if not out.exists():
            raise SystemExit(status or 1)
        groups: dict[str, list[dict[str, object]]] = {}
        for one in json.loads(out.read_text())["benchmarks"]:
            groups.setdefault(one["group"], []).append(one)
    print("| what | median | reference in the same run | ratio |\n|---|---|---|---|")
    for group, rows in groups.items():
        by_role = {str(row["extra_info"]["role"]): row["stats"]["median"] for row in rows}  # type: ignore[index]
        ours, reference = by_role["ours"], by_role.get("reference")
        if reference is None:
            print(f"| {group} | {_time(ours)} | skipped: its program is not installed | |")
            continue
        named = next(row["extra_info"]["what"] for row in rows if row["extra_info"]["role"] == "reference")  # type: ignore[index]
        print(f"| {group} | {_time(ours)} | {named}: {_time(reference)} | {ours / reference:.3g} |")
    raise SystemExit(status)


def _time(seconds: float) -> str:
    return f"{seconds * 1e3:.3g} ms" if seconds < 1 else f"{seconds:.2f} s"


if __name__ == "__main__":
    main()

"""`python -m tests.outside ships`: wheel and sdist, each into a bare environment of each Python that is named.

It needs nothing but the standard library, so that a bare Python can run it: `python3.14 -m tests.outside.ships`.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

__all__ = ["add_to", "main"]

ROOT = Path(__file__).resolve().parents[2]
# Not one letter of it is needed: what breaks on a blank or an umlaut breaks here.
_BENCH = "Prüfstand 3 – Süd"
_HELP_LIMIT = 0.150


def add_to(commands: Any) -> None:
    parser = commands.add_parser("ships", help=__doc__)
    _options(parser)


def _options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--python", action="append", metavar="PATH", help="A Python to install into; any number.")
    parser.add_argument("--lowest", action="store_true", help="With the oldest libraries that pyproject.toml allows.")
    parser.add_argument("--keep", metavar="FOLDER", type=Path, help="Keep environments and certificates here.")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """0 where everything that is shipped installs and works in each Python."""
    pythons = arguments.python or [sys.executable]
    with tempfile.TemporaryDirectory() as temporary:
        folder = arguments.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        built = _build(pythons[0], folder)
        bounds = folder / "lowest.txt"
        bounds.write_text(_lowest() if arguments.lowest else "", encoding="utf-8")
        failed = 0
        print("| Python | from | what | took | |\n|---|---|---|---|---|")
        for python in pythons:
            version = _say([python, "-c", "import platform; print(platform.python_version())"]).strip()
            for package in built:
                shipped = "wheel" if package.suffix == ".whl" else "sdist"
                for what, seconds, problem in _tried(python, package, bounds, folder / _BENCH / f"{version} {shipped}"):
                    failed += bool(problem)
                    print(f"| {version} | {shipped} | {what} | {seconds:.2f} s | {problem or 'good'} |", flush=True)
    return 1 if failed else 0


def _build(python: str, folder: Path) -> list[Path]:
    """Wheel and sdist, from a copy of the tree: a build leaves nothing in it."""
    environment = _environment(python, folder / "build")
    _say([environment, "-m", "pip", "install", "-q", "hatchling>=1.25"])
    tree = folder / "tree"
    left_out = shutil.ignore_patterns(".venv", ".git", "__pycache__", ".*_cache", ".hypothesis", ".benchmarks")
    shutil.copytree(ROOT, tree, ignore=left_out, dirs_exist_ok=True)
    _say([environment, "-m", "hatchling", "build", "-d", str(folder / "dist")], cwd=tree)
    return sorted((folder / "dist").glob("turnproof-*"))


def _lowest() -> str:
    """Each library that we need, held at the version from which we say that it will do."""
    import tomllib

    needs = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    return "".join(f"{need.partition(',')[0].replace('>=', '==')}\n" for need in needs)


def _tried(python: str, package: Path, bounds: Path, folder: Path) -> Iterator[tuple[str, float, str]]:
    """What was tried, how long it took, and what was wrong with it."""
    folder.mkdir(parents=True, exist_ok=True)
    kept = {
        **{
            name: value
            for name, value in os.environ.items()
            if name not in ("PYTHONPATH", "DISPLAY", "WAYLAND_DISPLAY")
        },
        "TURNPROOF_HOME": str(folder / "home"),
        "QT_QPA_PLATFORM": "offscreen",
    }

    def timed(what: str, command: list[str], holds: str = "", leaves: tuple[Path, bytes] | None = None) -> Any:
        begun = time.monotonic()
        done = subprocess.run(
            command, cwd=folder, env=kept, capture_output=True, text=True, encoding="utf-8", check=False
        )
        seconds = time.monotonic() - begun
        problem = ""
        if done.returncode != 0 or holds not in done.stdout:
            said = (done.stderr or done.stdout).strip().splitlines() or ["nothing said"]
            problem = f"FAILED, status {done.returncode}: {said[-1]}"
        elif leaves is not None and not (leaves[0].is_file() and leaves[0].read_bytes().startswith(leaves[1])):
            problem = f"FAILED, {leaves[0].name} is not what it should be"
        return what, seconds, problem

    begun = time.monotonic()
    environment = _environment(python, folder / "environment")
    yield "bare environment", time.monotonic() - begun, ""
    yield timed("pip install", [environment, "-m", "pip", "install", "-q", "-c", str(bounds), str(package)])
    yield timed("pip check", [environment, "-m", "pip", "check"])
    turnproof = str(Path(environment).parent / "turnproof")
    yield timed("turnproof --version", [turnproof, "--version"], "turnproof ")
    job = _say(
        [environment, "-c", "from bench.job.profiles import example_job as e; print(e('coastal-receiver'))"], folder
    )
    own = folder / "Küsten empfänger.toml"
    shutil.copy(job.strip(), own)
    yield timed("check", [turnproof, "check", str(own)], "job file, good")
    yield timed("design", [turnproof, "design", str(own)], "heater")
    out = folder / "Vorführung"
    yield timed(
        "demo", [turnproof, "demo", "--headless", "--out", str(out)], "ACCEPTED", (out / "certificate.pdf", b"%PDF")
    )
    (folder / "home" / "data").mkdir(parents=True, exist_ok=True)
    shutil.copy(out / "records.sqlite", folder / "home" / "data")
    page, paper = folder / "Prüfschein.html", folder / "Prüfschein.pdf"
    number = _number(own)
    # what the demo keeps beside its record lies where a record of one's own has it
    lines = folder / "home" / "data" / "lines" / number
    lines.mkdir(parents=True)
    for each in out.glob("*-line.jsonl"):
        shutil.copy(each, lines)
    for path, magic in ((page, b"<!"), (paper, b"%PDF")):
        write = [turnproof, "record", "certificate", number, str(path)]
        yield timed(f"certificate {path.suffix[1:]}", write, leaves=(path, magic))
    yield timed("record verify", [turnproof, "record", "verify", number])
    picture = [environment, "-m", "bench.dashboard.picture", "--all", str(folder / "Bilder"), "--only", "test: live"]
    yield timed("the window, drawn", picture)
    yield timed("schema", [turnproof, "check", "--schema", "job"], "json-schema.org")
    yield timed("completion", [turnproof, "completion", "bash"], "complete -F")
    yield _help_time(turnproof, kept)


def _help_time(turnproof: str, environment: dict[str, str]) -> tuple[str, float, str]:
    """Of the processor: the time by the wall is that of whatever else this machine does."""
    taken = []
    for _ in range(9):
        before = os.times()
        subprocess.run([turnproof, "--help"], env=environment, stdout=subprocess.DEVNULL, check=True)
        after = os.times()
        taken.append(after.children_user + after.children_system - before.children_user - before.children_system)
    middle = statistics.median(taken)
    problem = "" if middle < _HELP_LIMIT else f"FAILED, over {_HELP_LIMIT} s"
    return "turnproof --help, processor, median of 9", middle, problem


def _number(job: Path) -> str:
    import tomllib

    return str(tomllib.loads(job.read_text(encoding="utf-8"))["identity"]["number"])


def _environment(python: str, folder: Path) -> str:
    _say([python, "-m", "venv", "--clear", str(folder)])
    return str(folder / ("Scripts" if os.name == "nt" else "bin") / "python")


def _say(command: list[str], cwd: Path | None = None) -> str:
    """What a command says; raises RuntimeError with its complaint."""
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, encoding="utf-8", check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(command)}: status {done.returncode}\n{done.stdout}\n{done.stderr}")
    return done.stdout


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.outside.ships", description=__doc__)
    _options(parser)
    arguments = parser.parse_args()
    raise SystemExit(arguments.run(arguments))


if __name__ == "__main__":
    main()

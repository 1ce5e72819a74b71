"""No test touches the user's own record, bench file or log."""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
from pathlib import Path

import pytest
from hypothesis import settings

_HERE = Path(__file__).parent
# Before numpy is imported by any test: with more threads small matrices only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# A new counterexample is wanted at the desk; the run that decides whether a change lands draws the same ones each time.
settings.register_profile("suite", derandomize=bool(os.environ.get("CI")))
settings.load_profile("suite")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder that stands for all of the user's folders."""
    folder = tmp_path / "home"
    monkeypatch.setenv("TURNPROOF_HOME", str(folder))
    return folder


def pytest_collection(session: pytest.Session) -> None:
    """Of tests that were never run each worker compiles a share first, and finds the others' compiled: else all of them
    compile all of it at the same time."""
    about = getattr(session.config, "workerinput", None)
    if about is None or len(session.config.args) > 1 or session.config.args != session.config.getini("testpaths"):
        return
    files = sorted(_HERE.rglob("test_*.py"))
    first = int(about["workerid"].removeprefix("gw")) * len(files) // about["workercount"]
    for file in (*files[first:], *files[:first]):
        with contextlib.suppress(Exception):  # told when it is collected
            importlib.import_module(".".join(file.relative_to(_HERE.parent).with_suffix("").parts))


@pytest.hookimpl(trylast=True)  # once those that are not asked for are out
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The longest tests, which mostly wait, come first at each worker: else one is last, alone."""
    workers = getattr(config, "workerinput", {}).get("workercount", 1)
    longest = [item for item in items if item.get_closest_marker("long")]
    others = [item for item in items if item not in longest]
    share = -(-len(items) // workers)  # each worker begins with as many, in order
    ordered: list[pytest.Item] = []
    for worker in range(workers):
        first = longest[worker::workers]
        ordered += [*first, *others[: share - len(first)]]
        del others[: share - len(first)]
    items[:] = ordered


def pytest_collection_finish() -> None:
    """What was imported stays to the end: the collector need not look through it again and again."""
    gc.collect()
    gc.freeze()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What was not run, and matters, is said: a skip is easily overlooked."""
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = {str(report.longrepr[2]) for report in skipped if isinstance(report.longrepr, tuple)}
    for reason in sorted(reason for reason in reasons if "NOT run" in reason):
        terminalreporter.write_line(reason.removeprefix("Skipped: "), yellow=True)

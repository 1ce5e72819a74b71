"""`python -m tests.campaigns store`: what a person was shown as stored is looked for after kills, power cuts, full
disks and whatever else becomes of a record; real processes, killed for real, and what they say is read as a person
reads it."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from typing import Any

from .clock_back import clock_back
from .disk_full import disk_full, file_limited
from .held import held_by_another
from .killed import killed_while_winding, killed_while_writing
from .log_damaged import (
    cut,
    log_damaged_anywhere,
    log_ends_in_the_entry_being_written,
    log_gone_without_its_second_copy,
    torn,
)
from .not_writable import not_writable
from .outcome import Outcome
from .page_damaged import page_damaged
from .server_gone import benches_killed, server_gone
from .two_programs import two_programs

__all__ = ["add_to", "row"]


def add_to(commands: Any) -> None:
    parser = commands.add_parser("store", help=__doc__)
    parser.add_argument("--times", type=int, default=500, help="kills, and offsets of each way to damage the log")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", choices=list(_cases(1, 0)), action="append", help="these rows alone")
    parser.set_defaults(run=run)


def _cases(times: int, seed: int) -> dict[str, Callable[[], Outcome]]:
    """A row each; to add one, a module beside this one with a function that gives an Outcome."""
    few = max(1, times // 50)
    return {
        "killed": lambda: killed_while_writing(times, seed),
        "winding": lambda: killed_while_winding(max(2, times // 25), seed),
        "cut": lambda: log_ends_in_the_entry_being_written("log cut", cut, times, seed),
        "torn": lambda: log_ends_in_the_entry_being_written("log torn", torn, times, seed),
        "cut-anywhere": lambda: log_damaged_anywhere("log cut", cut, times, seed),
        "torn-anywhere": lambda: log_damaged_anywhere("log torn", torn, times, seed),
        "no-copy": lambda: log_gone_without_its_second_copy(times, seed),
        "disk": lambda: disk_full(few, seed),
        "limit": lambda: file_limited(few, seed),
        "read-only": lambda: not_writable(seed),
        "held": lambda: held_by_another(max(1, few // 3), seed, too_long=times >= 100),
        "page": lambda: page_damaged(max(5, times // 2), seed),
        "clock": lambda: clock_back(seed),
        "programs": lambda: two_programs(few, seed),
        "server": lambda: server_gone(few, seed),
        "benches": lambda: benches_killed(max(2, times // 10), seed),
    }


def run(arguments: argparse.Namespace) -> int:
    """Prints a row for each kind of fault as it comes; status 1 where something was lost, or not said in one line."""
    begun, bad = time.monotonic(), False
    print(
        "| what was done | times | shown as stored | lost | said, in one line each |\n|---|---|---|---|---|", flush=True
    )
    complaints: list[str] = []
    for name, case in _cases(arguments.times, arguments.seed).items():
        if arguments.only and name not in arguments.only:
            continue
        outcome = case()
        print(row(outcome), flush=True)
        bad |= outcome.bad
        complaints += [f"{outcome.what}: {line}" for line in (*outcome.lost[:10], *outcome.unclear[:10])]
    print(*complaints, sep="\n", end="\n" if complaints else "")
    print(f"{(time.monotonic() - begun) / 60:.1f} minutes")
    return 1 if bad else 0


def row(outcome: Outcome) -> str:
    """As it stands in the README."""
    said = f"{outcome.said}" + (f", unclear {len(outcome.unclear)}" if outcome.unclear else "")
    what = f"{outcome.what} ({outcome.note})" if outcome.note else outcome.what
    stored = f"{outcome.stored:,}".replace(",", " ")
    return f"| {what} | {outcome.tries} | {stored} | {len(outcome.lost)} | {said} |"

"""The whole demo for each fault and seed: how it ends, and how often the right fault comes first."""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.demo.run import DemoPlan, run_demo
from bench.job.profiles import example_job

# Each row: what is put in, and the verdicts that are right for it.
_NOT_ACCEPTED = frozenset({"rejected", "undecided"})
_ROWS = {
    "none": frozenset({"accepted"}),
    "turns_wrong:heater=2": _NOT_ACCEPTED,
    "turns_wrong:rectifier=-2": _NOT_ACCEPTED,
    "turns_wrong:primary=1 %": _NOT_ACCEPTED,
    "turns_wrong:primary=-1 %": _NOT_ACCEPTED,
    "turns_shorted": _NOT_ACCEPTED,
    "winding_reversed": _NOT_ACCEPTED,
    "winding_reversed:ht": _NOT_ACCEPTED,
    "winding_reversed:ht.centre": _NOT_ACCEPTED,
    "leads_swapped": _NOT_ACCEPTED,
    "winding_open": _NOT_ACCEPTED,
    "winding_open:primary": _NOT_ACCEPTED,
    "joint_poor": _NOT_ACCEPTED,
    "joint_poor:heater=100 %": _NOT_ACCEPTED,
    # Two turns, as it has by itself, lie within the limits of the ratio.
    "tap_misplaced=10": _NOT_ACCEPTED,
    "strand_open": _NOT_ACCEPTED,
    # A strand with one turn more is half a turn of the winding and half a watt: within the limits, so any verdict is
    # due. With four it is two whole turns.
    "strands_unequal": _NOT_ACCEPTED | {"accepted"},
    "strands_unequal=4": _NOT_ACCEPTED,
    "wire_wrong": _NOT_ACCEPTED,
    "wire_wrong=-1": _NOT_ACCEPTED,
    "core_gap": _NOT_ACCEPTED,
    "core_stack_short": _NOT_ACCEPTED,
    "core_steel_degraded": _NOT_ACCEPTED,
    "laminations_bridged": _NOT_ACCEPTED,
    "screen_closed": _NOT_ACCEPTED,
    "screen_unearthed": _NOT_ACCEPTED,
    "insulation_low": _NOT_ACCEPTED,
    "insulation_low:heater,core": _NOT_ACCEPTED,
    "insulation_low:screen,core": _NOT_ACCEPTED,
    "reading_wrong": frozenset({"trouble"}),
    "supply_wrong": frozenset({"trouble"}),
}


@dataclass(frozen=True)
class Outcome:
    fault: str
    seed: int
    verdict: str
    first: str
    probability: float
    failing: tuple[str, ...]


def add_to(commands: Any) -> None:
    parser = commands.add_parser("spine", help=__doc__)
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--speed", type=float, default=100.0)
    parser.add_argument("--job", default="coastal-receiver")
    parser.add_argument("--only", action="append", help="rows whose name begins so")
    parser.add_argument("--count", action="store_true", help="count the winding too, in every run")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print a row for each fault; status 1 when any run ended otherwise than it should."""
    chosen = [f for f in _ROWS if not arguments.only or any(f.startswith(o) for o in arguments.only)]
    seeds = range(arguments.from_seed, arguments.from_seed + arguments.seeds)
    work = [(fault, seed, arguments.job, arguments.speed, arguments.count) for fault in chosen for seed in seeds]
    print(f"{'fault':<28} {'acc':>4} {'rej':>4} {'und':>4} {'inc':>4} {'trb':>4}  {'as due':>7}  right fault first")
    bad = 0
    with ProcessPoolExecutor(arguments.workers) as pool:
        outcomes = list(pool.map(_one, work)) if len(chosen) == 1 else pool.map(_one, work)
        row: list[Outcome] = []
        for outcome in outcomes:
            row.append(outcome)
            if len(row) == len(seeds):
                bad += _print_row(row)
                row = []
    return 1 if bad else 0


def _one(work: tuple[str, int, str, float, bool]) -> Outcome:
    fault, seed, job, speed, count = work
    with tempfile.TemporaryDirectory() as folder:
        plan = DemoPlan(
            job=example_job(job),
            out=Path(folder) / "out",
            faults=() if fault == "none" else (fault,),
            seed=seed,
            speed=speed,
            count=count,
        )
        result = run_demo(plan).test
    top = result.findings[0] if result.findings else None
    failing = tuple(f"{s.id}={s.verdict} {s.note}" for s in result.steps if s.verdict != "accepted")
    return Outcome(
        fault, seed, str(result.verdict), top.fault if top else "none", top.probability if top else 0.0, failing
    )


def _print_row(row: list[Outcome]) -> int:
    fault = row[0].fault
    name = fault.split(":")[0].split("=")[0]
    verdicts = Counter(outcome.verdict for outcome in row)
    right = [outcome for outcome in row if outcome.verdict in _ROWS[fault]]
    first = Counter(outcome.first for outcome in row)
    others = ", ".join(f"{other} {count}" for other, count in first.most_common() if other != name)
    print(
        f"{fault:<28} {verdicts['accepted']:>4} {verdicts['rejected']:>4} {verdicts['undecided']:>4} "
        f"{verdicts['incomplete']:>4} {verdicts['trouble']:>4}  {len(right):>3}/{len(row):<3}  "
        f"{first[name]:>3}/{len(row):<3} {others}",
        flush=True,
    )
    for outcome in row:
        if outcome not in right:
            print(f"    seed {outcome.seed}: {outcome.verdict}; {', '.join(outcome.failing)}", flush=True)
    return len(row) - len(right)

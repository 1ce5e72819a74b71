"""`python -m tests.outside spice`: run ngspice on each circuit again, and show it beside ours."""

from __future__ import annotations

import argparse

from tests.outside.spice import ngspice
from tests.outside.spice.cases import CASES
from tests.outside.spice.kept import Result, digest, keep, kept_netlist, kept_result

REPEATS_WITHIN = 1e-3
"""Another version or processor may choose other time steps."""


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = commands.add_parser("spice", help="our circuits beside ngspice's transients")
    parser.add_argument("--write", action="store_true", help="keep netlists and results instead of comparing with them")
    parser.add_argument("--only", default="", metavar="TEXT", help="only circuits with this in their name")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    if not ngspice.installed():
        print("ngspice is not installed: apt-get install ngspice")
        return 3
    program = ngspice.version()
    apart, changed = [], []
    print(f"{program}\n| circuit | quantity | ours | ngspice | ratio |\n|---|---|---|---|---|")
    for case in CASES:
        if arguments.only not in case.name:
            continue
        netlist = case.netlist()
        measured = ngspice.run(netlist)
        if arguments.write:
            keep(case, netlist, Result(program, digest(netlist), measured))
        elif netlist != kept_netlist(case) or not _same(measured, kept_result(case).measured):
            changed.append(case.name)
        for quantity, ours in case.ours().items():
            theirs = measured[quantity]
            print(f"| {case.name} | {quantity} | {ours:.6g} | {theirs:.6g} | {ours / theirs:.4f} |")
            if abs(ours - theirs) > case.within * abs(theirs):
                apart.append(f"{case.name} {quantity}")
    for text, names in (("further apart than it may be", apart), ("other than the kept result", changed)):
        if names:
            print(f"{text}: {', '.join(names)}")
    return 1 if apart or changed else 0


def _same(one: dict[str, float], other: dict[str, float]) -> bool:
    return one.keys() == other.keys() and all(
        abs(one[name] - other[name]) <= REPEATS_WITHIN * abs(other[name]) for name in one
    )

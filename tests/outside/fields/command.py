"""`python -m tests.outside fields`: solve each geometry again, and show what has changed."""

from __future__ import annotations

import argparse
from importlib import metadata, util

from bench.magnetics.leakage import leakage_inductance
from tests.outside.fields.geometries import GEOMETRIES
from tests.outside.fields.results import Result, read, write
from tests.outside.fields.solve import inductance

REPEATS_WITHIN = 1e-6


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = commands.add_parser("fields", help="leakage inductance by finite elements with scikit-fem")
    parser.add_argument("--write", action="store_true", help="keep the results instead of comparing with the kept ones")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    if util.find_spec("skfem") is None:
        print("scikit-fem is not installed: pip install 'scikit-fem>=12'")
        return 3
    program = f"scikit-fem {metadata.version('scikit-fem')}"
    changed = 0
    print("| geometry | ours, mH | finite elements, mH | ratio | kept, mH |\n|---|---|---|---|---|")
    for geometry in GEOMETRIES:
        found = inductance(geometry)
        if arguments.write:
            write(geometry, Result(found, program, geometry.as_table()))
        kept = read(geometry)
        changed += abs(found - kept.inductance) > REPEATS_WITHIN * kept.inductance
        ours = leakage_inductance(geometry.one, geometry.other, geometry.window)
        print(
            f"| {geometry.name} | {ours * 1e3:.4f} | {found * 1e3:.4f} | {ours / found:.4f} "
            f"| {kept.inductance * 1e3:.4f} by {kept.program} |"
        )
    if changed:
        print(f"{changed} of {len(GEOMETRIES)} differ from the kept results; --write keeps the new ones")
    return 1 if changed else 0

"""`python -m tests.campaigns spine`: every fault at the size that a bench would notice, over many seeds; `design`: the
search against trying everything; `counting`: counts against a truth that another process keeps; `latency`: from an edge
of the spindle to the count that shows it; `readings`: a meter on a bad line, against a truth that another process
keeps; `decisions`: units whose truth is known, judged with meters of four classes; `diagnosis`: the same with one fault
or none, and whether it is named; `dashboard`: the window at work for an hour, whether memory or frames grow; `store`:
what was shown as stored, after kills, power cuts, full disks and the like."""

from __future__ import annotations

import argparse

from tests.campaigns import counting, dashboard, decisions, design, diagnosis, latency, readings, spine, store


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.campaigns", description=__doc__)
    commands = parser.add_subparsers(required=True)
    spine.add_to(commands)
    design.add_to(commands)
    counting.add_to(commands)
    latency.add_to(commands)
    readings.add_to(commands)
    decisions.add_to(commands)
    diagnosis.add_to(commands)
    dashboard.add_to(commands)
    store.add_to(commands)
    arguments = parser.parse_args()
    raise SystemExit(arguments.run(arguments))


if __name__ == "__main__":
    main()

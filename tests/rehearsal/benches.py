"""Benches without a process, for the physics behind the ports."""

from __future__ import annotations

from bench.job.model import Job
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.supply import Source
from bench.rehearsal.variation import nominal_variation
from bench.rehearsal.wiring import Connection, Excitation, Quantity
from bench.rehearsal.workbench import Solved, Workbench


def nominal_bench(job: Job, *faults: str) -> Workbench:
    return Workbench(job, nominal_variation(), tuple(parse_fault(text, job) for text in faults))


def feed(bench: Workbench, volts: float, winding: str = "primary", series: float | None = None) -> None:
    bench.excite(Excitation(f"{winding}.start", f"{winding}.finish", volts, Source.VARIAC, series=series), 0.0)


def solved(bench: Workbench) -> Solved:
    found = bench.solved(0.0)
    assert found is not None
    return found


def ammeter(bench: Workbench) -> None:
    bench.connect(Connection(Quantity.CURRENT_AC, "supply.live", "primary.start"), (), 0.0)


def ohmmeter(bench: Workbench, begin: str, end: str) -> float:
    bench.connect(Connection(Quantity.RESISTANCE, begin, end), (), 0.0)
    return bench.resistance(begin, end)

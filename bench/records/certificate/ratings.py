"""What the unit was made for beside what it is rewound for, and what becomes of its flux."""

from __future__ import annotations

from collections.abc import Iterable

from bench.job.as_found import AsFound, FoundWinding
from bench.job.model import Job
from bench.job.winding import Role, Winding
from bench.magnetics.emf import flux_density
from bench.quantities import show
from bench.records.certificate.unit import Row

__all__ = ["rating_rows"]


def rating_rows(job: Job, found: AsFound) -> tuple[Row, ...]:
    """What, as found, as rewound; empty words where nothing is known."""
    rows = [("supply", _made_for(job), _supply(job)), *_windings(job, found)]
    power = "" if found.label_power is None else show(found.label_power, "VA", 3)
    rows.append(("power, secondaries V × A", f"{power} by label" if power else "", _power(job)))
    rows += _flux(job, found)
    target = job.targets
    rows.append(("insulation class", "", target.temperature_class))
    if target.safety_class:
        rows.append(("safety class", "", f"{target.safety_class} asked for; no test here proves it"))
    kept = ", ".join(target.keep)
    rows.append(("wound anew", "", f"all but {kept}" if kept else "all windings" if job.winding else ""))
    return tuple(row for row in rows if row[1] or row[2])


def _made_for(job: Job) -> str:
    made = job.made_for
    if made is None:
        return ""
    other = "" if made.or_frequency is None else f"/{made.or_frequency:g}"
    return f"{show(made.voltage, 'V', 3)}, {made.frequency:g}{other} Hz"


def _supply(job: Job) -> str:
    supply = job.supply
    if supply is None:
        return ""
    return f"{show(supply.voltage, 'V', 3)}, {supply.frequency:g} Hz, ±{supply.tolerance * 100:.0f} %"


def _windings(job: Job, found: AsFound) -> Iterable[Row]:
    """Those of both under one name in one row."""
    old = {one.name: one for one in found.winding if not one.search_coil}
    new = {one.name: one for one in job.winding}
    for name in dict.fromkeys([*new, *old]):
        yield name, _plate(old.get(name)), _rated(new.get(name))


def _plate(one: FoundWinding | None) -> str:
    return "" if one is None else _volts_amps(one.nameplate_voltage, one.nameplate_current)


def _rated(one: Winding | None) -> str:
    return "" if one is None else _volts_amps(one.rated_voltage, one.rated_current)


def _volts_amps(volts: float | None, amps: float | None) -> str:
    return ", ".join(show(value, unit, 3) for value, unit in ((volts, "V"), (amps, "A")) if value)


def _power(job: Job) -> str:
    each = [
        one.rated_voltage * one.rated_current
        for one in job.winding
        if one.role is not Role.PRIMARY and one.rated_voltage and one.rated_current
    ]
    return show(sum(each), "VA", 3) if each else ""


def _flux(job: Job, found: AsFound) -> Iterable[Row]:
    """At nominal volts and at the supply's upper limit, in the core as it is now."""
    area, made, supply, primary = job.core.net_area, job.made_for, job.supply, job.primary
    fed = next((one for one in found.winding if one.name == (found.fed or "primary")), None)
    before = after = high = ""
    if area and made is not None and fed is not None and fed.turns:
        before = f"{flux_density(made.voltage, made.frequency, fed.turns, area):.2f} T"
    if area and supply is not None and primary is not None and primary.turns:
        nominal = flux_density(supply.voltage, supply.frequency, primary.turns, area)
        after, high = f"{nominal:.2f} T", f"{nominal * (1 + supply.tolerance):.2f} T"
    yield "peak flux density, nominal", before, after
    if high and supply is not None:
        yield f"the same at +{supply.tolerance * 100:.0f} %", "", high

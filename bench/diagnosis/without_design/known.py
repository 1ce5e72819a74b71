"""What a job knows of its unit without a design: readings as found and the nameplate, ready to be compared with."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from bench.diagnosis.without_design.usual import ratio_by_plate
from bench.job.as_found import CurvePoint, FoundVolts, FoundWinding
from bench.job.model import Job
from bench.job.winding import Winding
from bench.quantities import Typed

__all__ = ["Known", "KnownOhms", "KnownRatio", "Shown", "known_of"]

_ROUNDED = 1 / math.sqrt(12)
# Meter of the readings as found, as shares of the value, standard uncertainty: nobody wrote down how good it was.
# Common practice, no source.
_U_METER = 0.005
_OTHER_SUPPLY = 0.05


@dataclass(frozen=True)
class KnownOhms:
    """ohms [ohm];  u_log: standard uncertainty of its logarithm;  basis: `as found` or `sheet`."""

    ohms: float
    u_log: float
    basis: str


@dataclass(frozen=True)
class KnownRatio:
    """Open volts of a winding over those of the fed one.  u_log: of its own, u_log_common: shared by all windings that
    are known in the same way;  basis: `as found` or `nameplate`."""

    ratio: float
    u_log: float
    u_log_common: float
    basis: str


@dataclass(frozen=True)
class Shown:
    """fed: the winding that readings feed;  turns, area [m2 net]: of the fed winding and the core, None where not
    known;  power [VA] of the label."""

    fed: str
    turns: float | None
    area: float | None
    power: float | None


@dataclass(frozen=True)
class Known:
    """names: windings and sections that a reading may name;  curve: exciting curve as found, brought to the fed
    winding as it is now;  frequency [Hz];  nominal [V]: of the fed winding, by its rating or supply;  strands: wires in
    hand by winding;  left_out: what is known but can't be compared with, and why, one line each."""

    shown: Shown
    names: tuple[str, ...]
    ohms: dict[str, KnownOhms]
    ratios: dict[str, KnownRatio]
    curve: tuple[CurvePoint, ...]
    frequency: float | None
    nominal: float | None = None
    strands: dict[str, int] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()


def known_of(job: Job) -> Known:
    """All that a job without a design knows; readings as found come before the nameplate."""
    left_out: list[str] = []
    shown = Shown(_fed(job), _turns(job), job.core.net_area, _power(job))
    found = job.as_found
    same_volts = _made_for_its_supply(job)
    ratios = {} if found is None or not same_volts else _ratios_as_found(found.volts, shown.fed)
    if found is not None and found.volts and not same_volts:
        left_out.append(f"volts as found: {_OTHER_VOLTS}")
    for name, ratio in _ratios_by_plate(job, shown).items():
        ratios.setdefault(name, ratio)
    curve, why = _curve(job, shown, same_volts)
    if why:
        left_out.append(f"exciting curve as found: {why}")
    frequency = job.supply.frequency if job.supply is not None else None if found is None else found.frequency
    strands = {one.name: one.strands for one in _all_windings(job)}
    return Known(
        shown, _names(job), _ohms(job, same_volts), ratios, curve, frequency, _nominal(job), strands, tuple(left_out)
    )


_OTHER_VOLTS = "the unit is to run on other volts than it was made for, its turns are other ones now"


def _fed(job: Job) -> str:
    if job.primary is not None:
        return job.primary.name
    if job.as_found is None:
        return "primary"
    primary = job.as_found.primary
    return primary.name if primary is not None else job.as_found.fed or "primary"


def _turns(job: Job) -> float | None:
    if job.primary is not None and job.primary.turns is not None:
        return float(job.primary.turns)
    return None if job.as_found is None or not _made_for_its_supply(job) else job.as_found.curve_turns


def _made_for_its_supply(job: Job) -> bool:
    if job.supply is None or job.made_for is None:
        return True
    return abs(math.log(job.supply.voltage / job.made_for.voltage)) < _OTHER_SUPPLY


def _power(job: Job) -> float | None:
    """VA of the label, else of all rated secondaries."""
    if job.as_found is not None and job.as_found.label_power is not None:
        return job.as_found.label_power
    fed = _fed(job)
    rated = {
        one.name: (one.nameplate_voltage, one.nameplate_current)
        for one in (() if job.as_found is None else job.as_found.winding)
    }
    rated |= {one.name: (one.rated_voltage, one.rated_current) for one in job.winding if one.rated_current}
    parts = [volts * amps for name, (volts, amps) in rated.items() if name != fed and volts and amps]
    return sum(parts) or None


def _all_windings(job: Job) -> list[Winding | FoundWinding]:
    """As found, and of the job: those of both twice, the job's last."""
    return [*(() if job.as_found is None else job.as_found.winding), *job.winding]


def _names(job: Job) -> tuple[str, ...]:
    names: dict[str, None] = {_fed(job): None}
    for one in _all_windings(job):
        names[one.name] = None
        if one.taps:
            names |= {f"{one.name}.{lead}": None for lead in (*(tap.name for tap in one.taps), "finish")}
    return tuple(names)


def _ohms(job: Job, same_volts: bool) -> dict[str, KnownOhms]:
    """By winding or section: as found, else of a sheet."""
    sheets = {
        one.name: KnownOhms(one.resistance, _U_METER, "sheet") for one in job.winding if one.resistance is not None
    }
    if job.as_found is None or not same_volts:
        return sheets
    return sheets | {
        one.winding: KnownOhms(one.resistance.value, _u_log(one.resistance), "as found")
        for one in job.as_found.resistance
    }


def _u_log(reading: Typed) -> float:
    return math.hypot(_U_METER, reading.resolution * _ROUNDED / reading.value)


def _ratios_as_found(volts: tuple[FoundVolts, ...], fed: str) -> dict[str, KnownRatio]:
    """Of each winding against the fed one, whichever of them was fed; that at the most volts is the sharpest."""
    ratios: dict[str, KnownRatio] = {}
    for one in sorted(volts, key=lambda read: read.fed_voltage.value):
        ratio = one.voltage.value / one.fed_voltage.value
        u_log = math.hypot(_u_log(one.voltage), _u_log(one.fed_voltage))
        if one.fed == fed and one.winding != fed:
            ratios[one.winding] = KnownRatio(ratio, u_log, 0.0, "as found")
        elif one.winding == fed and one.fed != fed:
            ratios[one.fed] = KnownRatio(1 / ratio, u_log, 0.0, "as found")
    return ratios


def _nominal(job: Job) -> float | None:
    """Volts that the fed winding is for: of its own rating, the supply, or what it was made for."""
    own = None if job.primary is None else job.primary.rated_voltage
    if own is not None:
        return own
    if job.supply is not None:
        return job.supply.voltage
    if job.made_for is not None:
        return job.made_for.voltage
    found = None if job.as_found is None else job.as_found.primary
    return None if found is None else found.nameplate_voltage


def _ratios_by_plate(job: Job, shown: Shown) -> dict[str, KnownRatio]:
    """By rated volts of the windings now, else by the nameplate as found, where the unit still runs on its volts."""
    own = {one.name: (one.rated_voltage, one.rated_at) for one in job.winding if one.rated_voltage is not None}
    if job.as_found is not None and _made_for_its_supply(job):
        for one in job.as_found.winding:
            if one.nameplate_voltage is not None:
                own.setdefault(one.name, (one.nameplate_voltage, "load"))
    fed_volts = own.pop(shown.fed, (None, "load"))[0] or (None if job.supply is None else job.supply.voltage)
    if fed_volts is None:
        return {}
    ratios = {}
    for name, (volts, rated_at) in own.items():
        if volts is not None:
            factor, u_own, u_common = ratio_by_plate(shown.power, rated_at)
            ratios[name] = KnownRatio(volts / fed_volts * factor, u_own, u_common, "nameplate")
    return ratios


def _curve(job: Job, shown: Shown, same_volts: bool) -> tuple[tuple[CurvePoint, ...], str]:
    """The curve as found for the fed winding as it is now, or why there is none.

    At the same flux, and the same volts a turn, volts go with the turns, the current against them, watts stay.
    """
    found = job.as_found
    if found is None or not found.exciting:
        return (), ""
    if not found.core_kept:
        return (), "other laminations are in now (core_kept = false)"
    if job.supply is not None and found.frequency is not None:
        apart = abs(math.log(found.frequency / job.supply.frequency))
        if apart > 0.01:
            return (), f"it was read at {found.frequency:g} Hz, the supply has {job.supply.frequency:g} Hz"
    now = None if job.primary is None else job.primary.turns
    ratio = 1.0
    if now is not None and found.curve_turns is not None:
        ratio = now / found.curve_turns
    elif found.fed and found.fed != shown.fed:
        return (), f"it was read on {found.fed}, and the turns of {found.fed} and {shown.fed} are not both known"
    elif not same_volts:
        return (), _OTHER_VOLTS
    points = sorted(found.exciting, key=lambda one: one.voltage)
    return tuple(
        one.model_copy(update={"voltage": one.voltage * ratio, "current": one.current / ratio}) for one in points
    ), ""

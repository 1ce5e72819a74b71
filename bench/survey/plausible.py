"""Whether a reading as found, as it is typed, can be meant: a slipped unit or lead costs a question, not an evening."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.as_found import AsFound, FoundWinding
from bench.quantities import show

__all__ = [
    "Due",
    "doubt_of_amps",
    "doubt_of_fed_volts",
    "doubt_of_insulation",
    "doubt_of_ohms",
    "doubt_of_tester",
    "doubt_of_volts",
    "doubt_of_watts",
]

PLATE_FACTOR = 5.0
"""From a plate's volts: open volts lie up to 1.6 times above them, a plate of another tap up to twice."""
INSULATION_FACTOR = 5.0
"""Below what is fed: damp paper reads some megohms, so less is damp in earnest, or kohm typed for Mohm."""
LEAST_TESTER_VOLTS = 250.0
"""[V] of an insulation tester: a multimeter's own few volts find no insulation that gives way at the mains' (common
practice, no source)."""
READ_FACTOR = 2.0
"""From a ratio that was read or counted: the leakage of a small unit takes some percent, never half."""
OHMS_FACTOR = 25.0
"""From ohms by the square of the plates' volts: equal windows of copper would agree, and the shares of the windings of
small units differ up to five times, each way (common practice, no source)."""
AMPS_FACTOR = 50.0
"""From one point of an exciting curve to the next, beyond the growth of the volts: past the knee tenfold is met, and a
slip from mA to A is a thousandfold (common practice, no source)."""

_SHIFTS = (1e-3, 1e3, 1e-6, 1e6)
_LOOKS_ALIKE = 0.15
_WATTS_MARGIN = 1.1  # watts over volts times amps: two meters' doubt


@dataclass(frozen=True)
class Due:
    """What a reading should be near: value [SI], within a factor each way, and what says so.

    most: whether it is an upper bound only, as the whole winding is for a section of it.
    """

    value: float
    factor: float
    basis: str
    most: bool = False


def doubt_of_volts(found: AsFound, fed: str, fed_volts: float, name: str, volts: float) -> str:
    """Why `volts` [V] of `name`, with `fed_volts` [V] on `fed` at the same moment, can hardly be meant; else nothing.

    A reading with the feed the other way round, counts, and plates are asked, the surest first.
    """
    for due in _volts_due(found, fed, fed_volts, name):
        told = _far(volts, due, "V")
        if told:
            return told
    return ""


def doubt_of_fed_volts(found: AsFound, fed: str, volts: float) -> str:
    """Why so many volts [V] can hardly be on the winding that is fed; else nothing."""
    plate = _plate(found, fed)
    if plate is None or volts < PLATE_FACTOR * plate:
        return ""
    return _far(volts, Due(plate, PLATE_FACTOR, f"the plate says of {fed}"), "V")


def doubt_of_ohms(found: AsFound, name: str, ohms: float) -> str:
    """Why a winding's resistance [ohm] can hardly be meant; else nothing.

    It is held against what the other windings' ohms say by the square of the plates' volts; a section, against its
    whole.
    """
    whole = name.partition(".")[0]
    if whole != name:
        read = next((one.resistance.value for one in found.resistance if one.winding == whole), None)
        due = None if read is None else Due(read, READ_FACTOR, f"the whole of {whole} reads", most=True)
        return "" if due is None else _far(ohms, due, "ohm")
    own = _plate(found, name)
    if own is None:
        return ""
    others = {
        one.winding: one.resistance.value / plate**2
        for one in found.resistance
        if one.winding != name and (plate := _plate(found, one.winding)) is not None and one.resistance.value > 0
    }
    if not others:
        return ""
    per_square = math.exp(sum(math.log(one) for one in others.values()) / len(others))
    basis = f"the ohms of {', '.join(others)} and the plates say"
    alike = f"; the plate says {own:g} V, perhaps it is its volts" if abs(ohms / own - 1) < _LOOKS_ALIKE else ""
    return _far(ohms, Due(own**2 * per_square, OHMS_FACTOR, basis), "ohm", alike)


def doubt_of_insulation(ohms: float, refuse: float) -> str:
    """Why an insulation resistance [ohm] can hardly be meant; else nothing.  refuse [ohm]: below it nothing is fed."""
    if ohms >= refuse / INSULATION_FACTOR:
        return ""
    meant = next((ohms * shift for shift in (1e3, 1e6) if ohms * shift >= refuse), None)
    hint = "" if meant is None else f"; perhaps {show(meant, 'ohm', 3)} is meant"
    return (
        f"{show(ohms, 'ohm', 3)} is {_count(refuse / ohms)} times less than the {show(refuse, 'ohm', 3)} below which "
        f"nothing is fed{hint}"
    )


def doubt_of_tester(volts: float) -> str:
    """Why the volts [V] of an insulation tester can hardly be meant; else nothing."""
    if volts >= LEAST_TESTER_VOLTS:
        return ""
    told = f"{show(volts, 'V', 3)} shows little of insulation for mains"
    return f"{told}: {LEAST_TESTER_VOLTS:g} V at least, and 500 V is usual"


def doubt_of_amps(volts: float, amps: float, before: tuple[float, float] | None) -> str:
    """Why an exciting current [A] at `volts` [V] can hardly be meant; else nothing.  before: volts and amps of another
    point of the same curve, None where there is none."""
    if before is None:
        return ""
    basis = f"{show(before[1], 'A', 3)} at {before[0]:g} V say"
    return _far(amps, Due(before[1] * volts / before[0], AMPS_FACTOR, basis), "A")


def doubt_of_watts(volts: float, amps: float, watts: float) -> str:
    """Why watts [W] can't be meant: no winding takes more than its volts [V] times its amps [A]; else nothing."""
    most = volts * amps
    if watts <= _WATTS_MARGIN * most:
        return ""
    return f"{show(watts, 'W', 3)} is more than volts times amps, {show(most, 'W', 3)}{_meant(watts, most, 1e3, 'W')}"


def _volts_due(found: AsFound, fed: str, fed_volts: float, name: str) -> list[Due]:
    due = [
        Due(
            fed_volts * one.fed_voltage.value / one.voltage.value,
            READ_FACTOR,
            f"{one.fed_voltage.value:g} V on {name} and {one.voltage.value:g} V on {fed} say the other way round",
        )
        for one in found.volts
        if (one.fed, one.winding) == (name, fed)
    ]
    whole = name.partition(".")[0]
    if whole == fed:
        due.append(Due(fed_volts, READ_FACTOR, f"lie on the whole of {fed}", most=True))
    elif whole != name:
        due += [Due(one.value, one.factor, one.basis, most=True) for one in _volts_due(found, fed, fed_volts, whole)]
    two = {one.name: one for one in found.winding}
    if fed in two and name in two:
        turns = _ratio(two[fed].turns, two[name].turns)
        if turns is not None:
            due.append(Due(fed_volts * turns, READ_FACTOR, "the counted turns say"))
        plates = _ratio(two[fed].nameplate_voltage, two[name].nameplate_voltage)
        if plates is not None:
            due.append(Due(fed_volts * plates, PLATE_FACTOR, f"the plates say at {show(fed_volts, 'V', 3)} on {fed}"))
    return due


def _ratio(fed: float | None, other: float | None) -> float | None:
    return None if fed is None or other is None else other / fed


def _plate(found: AsFound, name: str) -> float | None:
    one: FoundWinding | None = next((one for one in found.winding if one.name == name), None)
    return None if one is None else one.nameplate_voltage


def _far(value: float, due: Due, unit: str, hint: str = "") -> str:
    times = value / due.value
    if (due.most or 1 / due.factor < times) and times < due.factor:
        return ""
    far = f"{_count(times)} times" if times > 1 else f"{_count(1 / times)} times less than"
    hint = hint or _meant(value, due.value, due.factor, unit)
    return f"{show(value, unit)} is {far} the {show(due.value, unit, 3)} that {due.basis}{hint}"


def _meant(value: float, due: float, factor: float, unit: str) -> str:
    meant = next((value * shift for shift in _SHIFTS if 1 / factor < value * shift / due < factor), None)
    return "" if meant is None else f"; perhaps {show(meant, unit)} is meant"


def _count(times: float) -> str:
    return f"{float(f'{times:.3g}'):.0f}" if times >= 10 else f"{times:.1f}"

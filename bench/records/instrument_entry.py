"""An instrument as the record keeps it: who it is, its calibration, and the accuracy that was counted on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bench.acceptance.instrument import MeterInstrument
from bench.acceptance.meter_said import HAND, calibrated_accuracies, hand_accuracies
from bench.records.entry import Kind, canonical
from bench.records.kept_profiles import Content, keep_contents
from drivers.address import Address
from drivers.errors import AddressError, ProfileError, Unsupported
from drivers.profile_files import profile_text

if TYPE_CHECKING:
    from bench.acceptance.instrument import Instrument
    from bench.job.bench_file import BenchFile, MeterEntry
    from bench.records.store import Store
    from drivers.accuracy import Accuracy
    from drivers.counter import Counter
    from drivers.meter_profile import MeterProfile

__all__ = ["accuracy_words", "keep_counter", "keep_hand_meter", "keep_meter"]

_MAINS_HERTZ = 50.0


def keep_meter(
    store: Store, number: str, entry: MeterEntry, instrument: Instrument, hertz: float | None, role: str = ""
) -> None:
    """A meter that is open, or read by hand, and its profile.  hertz: at which it reads what alternates.

    The port says how it was reached, never which meter it is: `serial`, else `identity`, does.  Raises RecordProblem.
    """
    profile = instrument.profile if isinstance(instrument, MeterInstrument) else None
    body = {
        **_who(entry),
        "identity": instrument.identity,
        "quantities": sorted(instrument.quantities),
        "accuracy": _by_hand(entry) if profile is None else _on_a_line(profile, entry, hertz or _MAINS_HERTZ),
    }
    if profile is not None:
        read = profile.serial_number(instrument.identity)
        body |= {"serial_read": read or "", "profile": _kept_profile(store, number, entry.use, "meters")}
    store.append(number, Kind.INSTRUMENT, {**body, "role": role} if role else body)


def keep_hand_meter(store: Store, number: str, entry: MeterEntry, during: str, *, anew: bool = True) -> None:
    """A meter whose readings a person types, where nothing but its accuracy is open.  Raises RecordProblem.

    anew: also where the newest entry of an instrument says just this, as at the begin of each sitting.
    """
    body = {**_who(entry), "identity": f"{entry.name}: read and typed by a person", "accuracy": _by_hand(entry)}
    body |= {"quantities": sorted(body["accuracy"]), "during": during}
    last = None if anew else store.last(number, Kind.INSTRUMENT)
    if last is None or canonical(last.body) != canonical(body):
        store.append(number, Kind.INSTRUMENT, body)


def keep_counter(
    store: Store, number: str, bench: BenchFile, named: str, instrument: Counter, *, winding: str, during: str
) -> None:
    """A turn counter that is open.  named: PROFILE@PORT, or its name in the bench file.  Raises RecordProblem."""
    entry = next((one for one in bench.counter if named in (one.name, one.use)), None)
    use = named if entry is None else entry.use
    profile = instrument.profile
    body = {
        "what": "counter",
        "name": named if entry is None else entry.name,
        "use": use,
        "serial": "" if entry is None else entry.serial,
        "identity": instrument.identity or "",
        "serial_read": instrument.board or "",
        "quantities": ["turns"],
        "bounds": {
            "max_speed": profile.max_speed,
            "max_acceleration": profile.max_acceleration,
            "latency": profile.latency_s,
            "direction": str(profile.direction),
        },
        "profile": _kept_profile(store, number, use, "counters"),
        "winding": winding,
        "during": during,
    }
    store.append(number, Kind.INSTRUMENT, body)


def accuracy_words(of_reading: float, of_range: float, counts: float) -> str:
    """As a leaflet says it: fractions, and counts of the last digit."""
    parts = [f"{100 * of_reading:g} %"]
    if of_range:
        parts.append(f"{100 * of_range:g} % of range")
    if counts:
        parts.append(f"{counts:g} count{'' if counts == 1 else 's'}")
    return " + ".join(parts)


def _who(entry: MeterEntry) -> dict[str, Any]:
    return {
        "what": "meter",
        "name": entry.name,
        "use": entry.use,
        "serial": entry.serial,
        "calibrated": entry.calibrated,
        "calibration_due": entry.calibration_due,
        "certificate": entry.certificate,
    }


def _by_hand(entry: MeterEntry) -> dict[str, list[dict[str, Any]]]:
    said = entry.accuracy.model_fields_set
    return {
        str(quantity): [_said(one, "bench file" if str(quantity) in said else "a usual hand-held meter")]
        for quantity, one in hand_accuracies(entry).items()
    }


def _on_a_line(profile: MeterProfile, entry: MeterEntry, hertz: float) -> dict[str, list[dict[str, Any]]]:
    """Of each range at the frequency at which it reads; a range without one there lacks."""
    calibrated = [one for one in calibrated_accuracies(entry) if one.holds_at(hertz)]
    found: dict[str, list[dict[str, Any]]] = {}
    for quantity, function in profile.functions.items():
        rows = []
        for one in function.ranges:
            try:
                accuracy = one.accuracy_at(hertz)
            except Unsupported:
                continue
            own = any(c.quantity is quantity and c.full_scale in (None, one.full_scale) for c in calibrated)
            basis = "bench file" if own else f"profile {profile.name}"
            rows.append({"full_scale": one.full_scale, "resolution": one.resolution, **_said(accuracy, basis)})
        found[str(quantity)] = rows
    return found


def _said(accuracy: Accuracy, basis: str) -> dict[str, Any]:
    numbers = (accuracy.percent_of_reading / 100, accuracy.percent_of_range / 100, accuracy.counts)
    of_reading, of_range, counts = numbers
    return {
        "of_reading": of_reading,
        "of_range": of_range,
        "counts": counts,
        "words": accuracy_words(*numbers),
        "from": basis,
    }


def _kept_profile(store: Store, number: str, use: str, kind: str) -> dict[str, str]:
    """Its name and hash, empty where it can't be read any more."""
    if use == HAND:
        return {}
    try:
        name = Address.parse(use).profile
        content = Content(kind, name, profile_text(name, kind))
    except (AddressError, ProfileError):
        return {}
    keep_contents(store, number, [content])
    return {"name": name, "sha256": content.sha256}

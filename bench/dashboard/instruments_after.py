"""How the instruments are after a piece of news."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.decision import Verdict
from bench.acceptance.meters_by_role import role_of
from bench.acceptance.result import StepResult
from bench.dashboard import news as told
from bench.dashboard.instruments import (
    COUNTER,
    InstrumentState,
    chosen_meters,
    for_meter_at,
    for_meter_of_role,
    reading_text,
)
from drivers.counter import LinkCameBack, LinkWentAway
from drivers.reading import Quantity, Reading

__all__ = ["awaited", "chosen", "counter_after", "judged", "opened", "read", "shown"]

_METER_LOST = "Cable in, meter on? Begin the test again: it goes on from here."
_Meters = tuple[InstrumentState, ...]


def chosen(
    name: str, uses: tuple[tuple[str, str], ...], counter: InstrumentState, meters: _Meters
) -> tuple[InstrumentState, _Meters]:
    """What will be opened takes the place of what was there; the other kind stays."""
    if name == "counter":
        return replace(COUNTER, address=uses[0][1] if uses else ""), meters
    return counter, chosen_meters(uses)


def opened(news: told.InstrumentOpened, counter: InstrumentState, meters: _Meters) -> tuple[InstrumentState, _Meters]:
    """The counter says its address; a meter its identity, and its address with its first reading at the latest."""
    words = news.said.removesuffix(": open")
    if news.name == "counter":
        return counter.opened(address=words), meters

    def is_open(one: InstrumentState) -> InstrumentState:
        return one.opened(identity=words, address=news.address)

    return counter, for_meter_of_role(meters, news.role, is_open)


def counter_after(counter: InstrumentState, event: object, at: float) -> InstrumentState:
    """event: one of the values of `drivers.counter`."""
    match event:
        case LinkWentAway():
            return counter.lost(at, "Plug its cable in again: it is looked for. The board keeps the count.")
        case LinkCameBack(port=port):
            return replace(counter.opened(address=_moved(counter.address, port)), heard_at=at)
    return counter


def awaited(meters: _Meters, quantity: Quantity | None, at: float) -> _Meters:
    """A reading is waited for from the meter that takes it; the clock is read without any."""
    if quantity is None or quantity is Quantity.TIME:
        return meters
    return for_meter_of_role(meters, role_of(quantity), lambda one: one.awaited(at))


def shown(meters: _Meters, words: str, at: float) -> _Meters:
    """A value that settles is the last one of the meter that is waited for, which goes on being so."""

    def show(one: InstrumentState) -> InstrumentState:
        return one if one.awaited_at is None else one.heard(words or one.last, at).awaited(at)

    return tuple(show(one) for one in meters)


def read(meters: _Meters, reading: Reading, at: float) -> _Meters:
    """A reading that nobody waited for is one of an earlier sitting, or the clock's: no word of a meter."""
    if reading.quantity is Quantity.TIME or all(one.awaited_at is None for one in meters):
        return meters

    def heard(one: InstrumentState) -> InstrumentState:
        return replace(one.heard(reading_text(reading), at), address=one.address or reading.instrument)

    return for_meter_at(meters, reading.instrument, heard)


def judged(meters: _Meters, result: StepResult, at: float) -> _Meters:
    """Trouble that the procedure lays to the instrument itself is shown at the instrument."""
    if result.verdict is Verdict.TROUBLE and result.quantity == "instrument":
        return for_meter_at(meters, result.note, lambda one: replace(one.lost(at, _METER_LOST), trouble=result.note))
    return meters


def _moved(address: str, port: str) -> str:
    """An address with the port at which the device was found again; empty where that is not known."""
    return f"{address.partition('@')[0]}@{port}" if port and "@" in address else ""

"""Reads the faults that a rehearsed unit shall have, as a person names them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, StrEnum

from bench.job.model import Job
from bench.job.winding import Winding
from bench.quantities import Dimension, QuantityError, parse
from bench.rehearsal.problems import RehearsalProblem

__all__ = ["Fault", "FaultName", "Place", "SizeKind", "parse_fault"]


class FaultName(StrEnum):
    NONE = "none"
    TURNS_WRONG = "turns_wrong"
    TURNS_SHORTED = "turns_shorted"
    WINDING_REVERSED = "winding_reversed"
    LEADS_SWAPPED = "leads_swapped"
    WINDING_OPEN = "winding_open"
    CORE_GAP = "core_gap"
    CORE_STACK_SHORT = "core_stack_short"
    SCREEN_CLOSED = "screen_closed"
    SCREEN_UNEARTHED = "screen_unearthed"
    INSULATION_LOW = "insulation_low"
    READING_WRONG = "reading_wrong"
    SUPPLY_WRONG = "supply_wrong"


class SizeKind(Enum):
    """What the size of a fault measures; the value says how it is written."""

    NOTHING = "no size"
    TURNS = "turns such as '-3' or a share such as '1 %'"
    OHMS = "ohms such as '0.02 ohm'"
    MEGOHMS = "megohms such as '0.5 Mohm'"
    GAP = "a gap such as '0.05 mm'"
    SHARE = "a share such as '10 %'"
    HERTZ = "hertz such as '60 Hz' or distortion such as '8 %'"
    DISTORTION = "distortion such as '8 %'"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a fault sits: a winding, screen or `core`; `tap` names the half that ends at that tap, or is empty."""

    name: str
    tap: str = ""

    def __str__(self) -> str:
        return f"{self.name}.{self.tap}" if self.tap else self.name


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault with its place and its size in SI (turns, ohm, m, 1, Hz); defaults are filled in."""

    name: FaultName
    places: tuple[Place, ...] = ()
    size: float = 0.0
    kind: SizeKind = SizeKind.NOTHING

    def __str__(self) -> str:
        where = ":" + ",".join(map(str, self.places)) if self.places else ""
        return f"{self.name}{where}" + (f"={self.size:g}" if self.kind is not SizeKind.NOTHING else "")


def parse_fault(text: str, job: Job) -> Fault:
    """The fault in `NAME[:WINDING[,WINDING]][=SIZE]` on this job's unit; raises RehearsalProblem."""
    head, equals, size = text.strip().partition("=")
    name_text, colon, place_text = head.partition(":")
    try:
        name = FaultName(name_text.strip())
    except ValueError:
        raise RehearsalProblem(f"fault {name_text!r} is not known, expected one of {', '.join(FaultName)}") from None
    written = [part.strip() for part in place_text.split(",")] if colon else []
    if equals and not size.strip():
        raise RehearsalProblem(f"fault {text!r}: nothing after '=', expected a size")
    return _READERS[name](_Request(name, job, tuple(written), size.strip()))


@dataclass(frozen=True, slots=True)
class _Request:
    name: FaultName
    job: Job
    written: tuple[str, ...]
    size: str

    def refuse(self, why: str) -> RehearsalProblem:
        return RehearsalProblem(f"fault {self.name}: {why}")

    def no_size(self) -> None:
        if self.size:
            raise self.refuse(f"{self.size!r} given, expected no size")

    def no_place(self) -> None:
        if self.written:
            raise self.refuse(f"{','.join(self.written)!r} given, expected no winding")

    def windings(self) -> tuple[Winding, ...]:
        return self.job.winding

    def place(self, text: str) -> Place:
        name, dot, tap = text.partition(".")
        winding = next((w for w in self.windings() if w.name == name), None)
        names = ", ".join(w.name for w in self.windings())
        if winding is None:
            raise self.refuse(f"winding {name!r} is not in the job, expected one of {names}")
        taps = winding.lead_names[1:] if winding.taps else ()
        if dot and tap not in taps:
            halves = ", ".join(f"{name}.{t}" for t in taps) or f"{name} alone: it has no taps"
            raise self.refuse(f"{text!r} is no part of a winding, expected {halves}")
        return Place(name, tap if dot else "")

    def one_place(self, default: Callable[[Job], str]) -> Place:
        if len(self.written) > 1:
            raise self.refuse(f"{len(self.written)} windings given, expected one")
        return self.place(self.written[0] if self.written else default(self.job))

    def number(self, kind: SizeKind, dimension: Dimension, bare: float, least: float, most: float) -> float:
        """The size in SI; `bare` is what one is worth where no unit stands."""
        try:
            value = float(self.size) * bare
        except ValueError:
            try:
                value = parse(self.size, dimension)
            except QuantityError:
                raise self.refuse(f"size {self.size!r}, expected {kind.value}") from None
        if not least <= value <= most:
            raise self.refuse(f"size {self.size!r} is out of reach, expected {kind.value}")
        return value


def _none(request: _Request) -> Fault:
    request.no_place()
    request.no_size()
    return Fault(FaultName.NONE)


def _turns_wrong(request: _Request) -> Fault:
    place = request.one_place(_fewest_turns)
    winding = request.job.get_winding(place.name)
    turns = dict((end, n) for _, end, n in winding.sections).get(place.tap, winding.turns or 0)
    primary = winding == request.job.primary
    size = request.size or ("1 %" if primary else "2")
    if size.endswith("%"):
        share = _Request(request.name, request.job, (), size).number(SizeKind.TURNS, Dimension.RATIO, 1.0, -0.5, 0.5)
        wrong = round(share * turns) or (1 if share > 0 else -1)
    else:
        text = size.removesuffix("turns").removesuffix("turn").strip()
        try:
            wrong = int(text)
        except ValueError:
            raise request.refuse(f"size {size!r}, expected {SizeKind.TURNS.value}") from None
    if wrong == 0 or turns + wrong < 1:
        raise request.refuse(f"size {size!r} leaves {turns + wrong} of {turns} turns, expected another number above 0")
    return Fault(request.name, (place,), float(wrong), SizeKind.TURNS)


def _turns_shorted(request: _Request) -> Fault:
    place = request.one_place(_primary)
    size = request.number(SizeKind.OHMS, Dimension.RESISTANCE, 1.0, 0.0, 1e3) if request.size else 0.02
    return Fault(request.name, (place,), size, SizeKind.OHMS)


def _winding_reversed(request: _Request) -> Fault:
    request.no_size()
    return Fault(request.name, (request.one_place(_fewest_turns),))


def _winding_open(request: _Request) -> Fault:
    request.no_size()
    return Fault(request.name, (request.one_place(_thinnest_wire),))


def _leads_swapped(request: _Request) -> Fault:
    request.no_size()
    if not request.written:
        names = [w.name for w in sorted(request.job.secondaries, key=lambda w: w.turns or 0)][:2]
        if len(names) < 2:
            raise request.refuse("this job has a single secondary, expected two windings such as primary,heater")
        return Fault(request.name, tuple(Place(name) for name in names))
    places = tuple(request.place(text) for text in request.written)
    if len(places) != 2 or len({place.name for place in places}) != 2 or any(place.tap for place in places):
        raise request.refuse(f"{','.join(request.written)!r} given, expected two windings such as primary,heater")
    return Fault(request.name, places)


def _core_gap(request: _Request) -> Fault:
    request.no_place()
    size = request.number(SizeKind.GAP, Dimension.LENGTH, 1e-3, 0.0, 5e-3) if request.size else 0.05e-3
    return Fault(request.name, (), size, SizeKind.GAP)


def _core_stack_short(request: _Request) -> Fault:
    request.no_place()
    size = request.number(SizeKind.SHARE, Dimension.RATIO, 1e-2, 0.0, 0.5) if request.size else 0.10
    return Fault(request.name, (), size, SizeKind.SHARE)


def _screen(request: _Request) -> Place:
    screens = [screen.name for screen in request.job.screen]
    if not screens:
        raise request.refuse("this job has no screen, expected a job with a [[screen]]")
    name = request.written[0] if request.written else screens[0]
    if len(request.written) > 1 or name not in screens:
        raise request.refuse(f"screen {','.join(request.written)!r} is not in the job, expected {', '.join(screens)}")
    return Place(name)


def _screen_unearthed(request: _Request) -> Fault:
    request.no_size()
    return Fault(request.name, (_screen(request),))


def _screen_closed(request: _Request) -> Fault:
    place = _screen(request)
    size = request.number(SizeKind.OHMS, Dimension.RESISTANCE, 1.0, 0.0, 1e3) if request.size else 0.01
    return Fault(request.name, (place,), size, SizeKind.OHMS)


def _insulation_low(request: _Request) -> Fault:
    bodies = [w.name for w in request.windings()] + [s.name for s in request.job.screen] + ["core"]
    pair = list(request.written) or [_primary(request.job)]
    for name in pair:
        if name not in bodies:
            raise request.refuse(f"{name!r} is not in the job, expected two of {', '.join(bodies)}")
    if len(pair) == 1:
        after = bodies[bodies.index(pair[0]) + 1 :] or bodies[:-1]
        wound = [w.name for w in request.windings()]
        pair.append(next((name for name in after if name in wound), "core"))
    if len(pair) != 2 or pair[0] == pair[1]:
        raise request.refuse(f"{','.join(request.written)!r} given, expected two of {', '.join(bodies)}")
    size = request.number(SizeKind.MEGOHMS, Dimension.RESISTANCE, 1e6, 1e3, 1e12) if request.size else 0.5e6
    return Fault(request.name, tuple(Place(name) for name in pair), size, SizeKind.MEGOHMS)


def _reading_wrong(request: _Request) -> Fault:
    request.no_size()
    if not request.written:
        return Fault(request.name)
    place = request.one_place(_primary)
    return Fault(request.name, (Place(place.name),))


def _supply_wrong(request: _Request) -> Fault:
    request.no_place()
    if request.size.endswith("%"):
        share = request.number(SizeKind.HERTZ, Dimension.RATIO, 1.0, 0.0, 0.5)
        return Fault(request.name, (), share, SizeKind.DISTORTION)
    if request.size:
        return Fault(
            request.name, (), request.number(SizeKind.HERTZ, Dimension.FREQUENCY, 1.0, 10.0, 1000.0), SizeKind.HERTZ
        )
    meant = request.job.supply.frequency if request.job.supply else 50.0
    return Fault(request.name, (), 50.0 if abs(meant - 60.0) < 1.0 else 60.0, SizeKind.HERTZ)


def _fewest_turns(job: Job) -> str:
    return min(job.secondaries or job.winding, key=lambda winding: winding.turns or 0).name


def _primary(job: Job) -> str:
    return (job.primary or job.winding[0]).name


def _thinnest_wire(job: Job) -> str:
    return min(job.winding, key=lambda winding: winding.wire.diameter if winding.wire else 1.0).name


_READERS: dict[FaultName, Callable[[_Request], Fault]] = {
    FaultName.NONE: _none,
    FaultName.TURNS_WRONG: _turns_wrong,
    FaultName.TURNS_SHORTED: _turns_shorted,
    FaultName.WINDING_REVERSED: _winding_reversed,
    FaultName.LEADS_SWAPPED: _leads_swapped,
    FaultName.WINDING_OPEN: _winding_open,
    FaultName.CORE_GAP: _core_gap,
    FaultName.CORE_STACK_SHORT: _core_stack_short,
    FaultName.SCREEN_CLOSED: _screen_closed,
    FaultName.SCREEN_UNEARTHED: _screen_unearthed,
    FaultName.INSULATION_LOW: _insulation_low,
    FaultName.READING_WRONG: _reading_wrong,
    FaultName.SUPPLY_WRONG: _supply_wrong,
}

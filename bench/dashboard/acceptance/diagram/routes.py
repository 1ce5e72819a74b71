"""Where the wires of a rig run, and where its meters, sources and loads lie, between the places of a unit; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from bench.acceptance.requests import Connect, Excite, Load
from bench.dashboard.acceptance.diagram.places import Box, Places, Spot
from bench.dashboard.acceptance.diagram.rig import Part, Rig
from bench.quantities import show
from drivers.reading import Quantity

__all__ = ["Kind", "Routes", "Symbol", "Wire", "routes_of"]

_SIZE = 17.0
"""Radius [px] of a meter and of a source."""
_SLOT = 5.0
"""Above or below the middle of a terminal [px] where a second wire meets it."""
_LETTERS = {
    Quantity.VOLTAGE_AC: "V",
    Quantity.VOLTAGE_DC: "V",
    Quantity.CURRENT_AC: "A",
    Quantity.CURRENT_DC: "A",
    Quantity.RESISTANCE: "Ω",
    Quantity.RESISTANCE_4W: "Ω",
    Quantity.FREQUENCY: "Hz",
}

Point = tuple[float, float]


class Kind:
    """What a symbol is."""

    METER = "meter"
    SOURCE = "source"
    VARIAC = "variac"
    LAMP = "lamp"
    RESISTOR = "resistor"
    EARTH = "earth"
    NODE = "node"


@dataclass(frozen=True)
class Symbol:
    """kind: of Kind;  letters: in it;  words: beside it, in their box;  now: it is to be seen to;  upright: a resistor
    that stands."""

    kind: str
    x: float
    y: float
    radius: float
    letters: str = ""
    words: str = ""
    box: Box | None = None
    now: bool = False
    upright: bool = False


@dataclass(frozen=True)
class Wire:
    """ends: the terminals that it joins, empty for the side of a symbol;  points: its corners;  clip: ends in a clip
    at its first point;  out: it is not there any more, or not yet fed."""

    ends: tuple[str, str]
    points: tuple[Point, ...]
    now: bool = False
    clip: bool = False
    out: bool = False


@dataclass(frozen=True)
class Routes:
    """covered: leads that stay open while the unit is live."""

    wires: tuple[Wire, ...] = ()
    symbols: tuple[Symbol, ...] = ()
    covered: tuple[str, ...] = ()
    used: frozenset[str] = frozenset()


def routes_of(rig: Rig, places: Places) -> Routes:
    """All wires and symbols of the rig; a terminal that the drawing does not have is left out."""
    maker = _Maker(rig, places)
    maker.make()
    used = frozenset(end for wire in maker.wires for end in wire.ends if end)
    windings = {coil.name for coil in places.coils}
    bodies = windings | set(places.screens)
    # The supply comes to the winding that is fed, though nothing is fed yet.
    fed = set() if places.primary is None or rig.feed is not None else {places.primary[0].partition(".")[0]}
    open_ends = [spot.name for spot in places.spots.values() if spot.body in bodies - fed and spot.name not in used]
    return Routes(tuple(maker.wires), tuple(maker.symbols), tuple(open_ends) if rig.covers else (), used)


class _Maker:
    def __init__(self, rig: Rig, places: Places) -> None:
        self._rig, self._at = rig, places
        self._scale = places.scale
        self.wires: list[Wire] = []
        self.symbols: list[Symbol] = []
        self._nodes: dict[str, Point] = {}

    def make(self) -> None:
        rig = self._rig
        self._earth()
        self._feed()
        for load in rig.loads:
            self._load(load)
        for number, place in enumerate(rig.meters):
            self._meter(place, now=rig.now is Part.METER and number == len(rig.meters) - 1)
        if rig.tester is not None:
            self._tester(*rig.tester)

    # -- feed --------------------------------------------------------------------------------------

    def _feed(self) -> None:
        feed = self._rig.feed
        in_line = {end for one in self._rig.meters for end in (one.from_terminal, one.to_terminal)}
        wants_supply = "supply.live" in in_line
        wants_resistor = bool(in_line & {"resistor.supply", "resistor.winding"})
        ends = self._fed_ends(feed)
        if ends is None or (feed is None and not (wants_supply or wants_resistor)):
            return
        begin, end = ends
        at, scale = self._at, self._scale
        radius = max(6.0 * scale, min(_SIZE * scale, abs(end.y - begin.y) / 2 - 4 * scale))
        now = self._rig.now is Part.FEED
        out = self._rig.now is Part.OFF or feed is None
        middle = (begin.y + end.y) / 2
        kind = Kind.SOURCE if feed is not None and feed.source == "low voltage" else Kind.VARIAC
        words, box = self._source_words(feed, begin, end)
        turned = now or (out and feed is not None)
        self.symbols.append(Symbol(kind, at.source_x, middle, radius, "~", words, box, turned))
        live_down = begin.y <= end.y
        self._nodes["supply.live"] = (at.source_x + 24 * scale, begin.y)
        series = self._in_series(feed, wants_resistor=wants_resistor)
        x = at.source_x
        port = (x, middle - radius) if live_down else (x, middle + radius)
        other = (x, middle + radius) if live_down else (x, middle - radius)
        live: list[Point] = [port, (x, begin.y)]
        if series is None:
            if wants_supply:
                live.append(self._nodes["supply.live"])
                self.symbols.append(Symbol(Kind.NODE, *self._nodes["supply.live"], 4 * scale))
                self.wires.append(Wire(("", "supply.live"), tuple(live), now, out=out))
            else:
                live.append((begin.x, begin.y))
                self.wires.append(Wire(("", begin.name), tuple(live), now, out=out))
        else:
            half = 16 * scale
            before, after = (at.series_x - half, begin.y), (at.series_x + half, begin.y)
            wanted = now or (feed is None and self._rig.now is Part.METER)
            self.symbols.append(self._series_symbol(series, begin.y, wanted, half))
            self._nodes |= {"resistor.supply": (before[0] - 6 * scale, begin.y)}
            self._nodes |= {"resistor.winding": (after[0] + 6 * scale, begin.y)}
            self.wires.append(Wire(("", ""), (*live, before), now, out=out))
            if wants_supply:
                self._nodes["supply.live"] = (after[0] + 4 * scale, begin.y)
                self.symbols.append(Symbol(Kind.NODE, *self._nodes["supply.live"], 4 * scale))
                self.wires.append(Wire(("", "supply.live"), (after, self._nodes["supply.live"]), now, out=out))
            else:
                self.wires.append(Wire(("", begin.name), (after, (begin.x, begin.y)), now, out=out))
        self.wires.append(Wire(("", end.name), (other, (x, end.y), (end.x, end.y)), now, out=out))

    def _fed_ends(self, feed: Excite | None) -> tuple[Spot, Spot] | None:
        names = self._at.primary if feed is None else (feed.from_terminal, feed.to_terminal)
        if names is None or not all(name in self._at.spots for name in names):
            return None
        begin, end = (self._at.spots[name] for name in names)
        return (begin, end) if begin.side == end.side == -1 else None

    def _source_words(self, feed: Excite | None, begin: Spot, end: Spot) -> tuple[str, Box]:
        scale = self._scale
        top = max(begin.y, end.y) + 6 * scale
        box = Box(0.0, top, self._at.meter_left_x - 4 * scale, 34 * scale)
        if feed is None:
            return "supply, off", box
        name = "isolated source" if feed.source == "low voltage" else feed.source
        volts = "0 V" if self._rig.now is Part.OFF else show(feed.volts, "V", 3)
        return f"{name}\n{volts}  {feed.hertz:g} Hz", box

    def _in_series(self, feed: Excite | None, *, wants_resistor: bool) -> str | None:
        if feed is not None and feed.limiter:
            return "limiter"
        if feed is not None and feed.series_ohms is not None:
            return show(feed.series_ohms, "ohm", 3).replace("ohm", "Ω")
        return "resistor" if wants_resistor else None

    def _series_symbol(self, words: str, y: float, now: bool, half: float) -> Symbol:
        scale, x = self._scale, self._at.series_x
        kind = Kind.LAMP if words == "limiter" else Kind.RESISTOR
        box = Box(x - 40 * scale, y - 30 * scale, 80 * scale, 15 * scale)
        return Symbol(kind, x, y, half, words=words, box=box, now=now)

    # -- meters ------------------------------------------------------------------------------------

    def _meter(self, place: Connect, *, now: bool) -> None:
        letters = _LETTERS.get(place.quantity, "")
        for one, other in place.links:
            self._link(one, other, now)
        self._between(place.from_terminal, place.to_terminal, letters, now)

    def _between(self, one: str, other: str, letters: str, now: bool) -> None:
        """A meter with a clip on each of two terminals."""
        spots = self._at.spots
        nodes = [name for name in (one, other) if name in self._nodes]
        if nodes:
            self._at_nodes(one, other, letters, now)
        elif one in spots and other in spots:
            if spots[one].side == spots[other].side:
                self._beside(spots[one], spots[other], letters, now)
            else:
                self._across(spots[one], spots[other], letters, now)

    def _beside(self, one: Spot, other: Spot, letters: str, now: bool) -> None:
        """Both terminals on one side: the meter stands between their rows."""
        scale, side = self._scale, one.side
        x = self._at.meter_left_x if side < 0 else self._at.meter_right_x
        upper, lower = (one, other) if one.y <= other.y else (other, one)
        slot = _SLOT * scale
        high, low = (upper.y - slot, lower.y + slot) if one is other else (upper.y + slot, lower.y - slot)
        radius = self._radius
        middle = (high + low) / 2
        self.symbols.append(Symbol(Kind.METER, x, middle, radius, letters, now=now))
        jog = upper.x + side * 22 * scale
        for spot, y, sign in ((upper, high, -1), (lower, low, 1)):
            port = (x, middle + sign * radius)
            points: list[Point] = [(spot.x, y)]
            free = sign * (y - port[1]) > 3 * scale
            beyond = port[1] + sign * 7 * scale
            points += [(x, y)] if free else [(jog, y), (jog, beyond), (x, beyond)]
            self.wires.append(Wire((spot.name, ""), (*points, port), now, clip=True))

    def _across(self, one: Spot, other: Spot, letters: str, now: bool) -> None:
        """One terminal on each side: the meter lies above the core."""
        scale, y = self._scale, self._at.across_y
        radius = self._radius
        middle = self._at.core.left + self._at.core.wide / 2
        self.symbols.append(Symbol(Kind.METER, middle, y, radius, letters, now=now))
        for spot in (one, other):
            lane = spot.x + spot.side * 17 * scale
            start = spot.y - _SLOT * scale
            points = ((spot.x, start), (lane, start), (lane, y), (middle + spot.side * radius, y))
            self.wires.append(Wire((spot.name, ""), points, now, clip=True))

    def _at_nodes(self, one: str, other: str, letters: str, now: bool) -> None:
        """At least one clip in the wire of the feed."""
        scale, radius = self._scale, self._radius
        first, second = self._point(one), self._point(other)
        if first is None or second is None:
            return
        for name in (one, other):
            if name in self._nodes and name != "supply.live":
                self.symbols.append(Symbol(Kind.NODE, *self._nodes[name], 4 * scale))
        if abs(first[1] - second[1]) < 1e-6 and "supply.live" in (one, other):
            (left, left_name), (right, right_name) = sorted(((first, one), (second, other)))
            x = (left[0] + right[0]) / 2
            self.symbols.append(Symbol(Kind.METER, x, left[1], radius, letters, now=now))
            self.wires.append(Wire((left_name, ""), (left, (x - radius, left[1])), now, clip=True))
            self.wires.append(Wire((right_name, ""), (right, (x + radius, right[1])), now, clip=True))
            return
        if abs(first[1] - second[1]) < 1e-6:
            # Across what stands in series: below it, between the wires of the feed.
            y = first[1] + radius + 8 * scale
            x = (first[0] + second[0]) / 2
            self.symbols.append(Symbol(Kind.METER, x, y, radius, letters, now=now))
            for name, (px, py) in ((one, first), (other, second)):
                side = 1 if px > x else -1
                self.wires.append(Wire((name, ""), ((px, py), (px, y), (x + side * radius, y)), now, clip=True))
            return
        self._node_and_spot((one, first), (other, second), letters, now)

    def _node_and_spot(self, node: tuple[str, Point], spot: tuple[str, Point], letters: str, now: bool) -> None:
        """From the wire of the feed to a terminal that is not on it."""
        if node[0] not in self._nodes:
            node, spot = spot, node
        scale, radius = self._scale, self._radius
        (name, (nx, ny)), (other, (sx, sy)) = node, spot
        sign = 1 if sy > ny else -1
        # Not below the node itself, where the source stands, but below what is in series.
        x, y, beside = self._at.series_x, (ny + sy) / 2, ny + sign * 7 * scale
        end = sy - sign * _SLOT * scale
        self.symbols.append(Symbol(Kind.METER, x, y, radius, letters, now=now))
        self.wires.append(
            Wire((name, ""), ((nx, ny), (nx, beside), (x, beside), (x, y - sign * radius)), now, clip=True)
        )
        self.wires.append(Wire((other, ""), ((sx, end), (x, end), (x, y + sign * radius)), now, clip=True))

    def _point(self, name: str) -> Point | None:
        if name in self._nodes:
            return self._nodes[name]
        spot = self._at.spots.get(name)
        return None if spot is None else (spot.x, spot.y)

    @property
    def _radius(self) -> float:
        return _SIZE * self._scale

    # -- links, earth, testers, loads --------------------------------------------------------------

    def _link(self, one: str, other: str, now: bool) -> None:
        """A wire from terminal to terminal: beside its rows, or round the foot of the core."""
        spots, scale = self._at.spots, self._scale
        if one not in spots or other not in spots:
            return
        a, b = spots[one], spots[other]
        upper, lower = (a, b) if a.y <= b.y else (b, a)
        if a.side == b.side:
            lane = a.x + a.side * 27 * scale
            slot = _SLOT * scale
            points = ((upper.x, upper.y + slot), (lane, upper.y + slot), (lane, lower.y - slot))
            self.wires.append(Wire((upper.name, lower.name), (*points, (lower.x, lower.y - slot)), now))
            return
        self.wires.append(Wire((a.name, b.name), (*self._to_foot(a), *reversed(self._to_foot(b))), now))

    def _to_foot(self, spot: Spot) -> tuple[Point, ...]:
        lane = spot.x + spot.side * 27 * self._scale
        y = spot.y + _SLOT * self._scale
        return (spot.x, y), (lane, y), (lane, self._at.foot_y)

    def _earth(self) -> None:
        if not self._rig.earthed and not self._uses("earth.lead"):
            return
        spots, scale = self._at.spots, self._scale
        earth = spots["earth.lead"]
        self.symbols.append(Symbol(Kind.EARTH, earth.x, earth.y, self._at.radius, now=self._rig.now is Part.EARTH))
        if not self._rig.earthed:
            return
        lane = earth.x - 31 * scale
        for name in ("core", *(f"{screen}.lead" for screen in self._at.screens)):
            spot = spots[name]
            y = spot.y + (_SLOT * scale if self._uses(name) else 0.0)
            points = ((spot.x, y), (lane, y), (lane, earth.y), (earth.x, earth.y))
            self.wires.append(Wire((name, "earth.lead"), points, self._rig.now is Part.EARTH))

    def _uses(self, name: str) -> bool:
        return any(name in (one.from_terminal, one.to_terminal) for one in self._rig.meters)

    def _tester(self, one: str, other: str) -> None:
        """A tester between two bodies; `rest` is every other one, tied together."""
        first = self._of_body(one)
        if first is None:
            return
        if other != "rest":
            second = self._of_body(other)
            if second is not None:
                self._between(first.name, second.name, "MΩ", True)
            return
        rest = [spot for name in self._bodies() if name != one and (spot := self._of_body(name)) is not None]
        scale, y = self._scale, self._at.across_y
        middle, radius = self._at.core.left + self._at.core.wide / 2, _SIZE * scale
        self.symbols.append(Symbol(Kind.METER, middle, y, radius, "MΩ", now=True))
        lane = first.x + first.side * 17 * scale
        points = ((first.x, first.y), (lane, first.y), (lane, y), (middle + first.side * radius, y))
        self.wires.append(Wire((first.name, ""), points, True, clip=True))
        self._tied(rest, -first.side, (middle - first.side * radius, y))

    def _tied(self, rest: list[Spot], side: int, port: Point) -> None:
        """Bodies tied together down both sides and round the foot, with the tester's other clip at the top of one."""
        scale, foot = self._scale, self._at.foot_y
        lanes = {way: self._lane(way, 31 * scale) for way in (-1, 1)}
        self.wires.append(Wire(("", ""), (port, (lanes[side], port[1]), (lanes[side], foot)), True))
        far = [spot for spot in rest if spot.side != side]
        if far:
            top = min(spot.y for spot in far)
            self.wires.append(Wire(("", ""), ((lanes[side], foot), (lanes[-side], foot), (lanes[-side], top)), True))
        for spot in rest:
            self.wires.append(Wire((spot.name, ""), ((spot.x, spot.y), (lanes[spot.side], spot.y)), True, clip=True))

    def _lane(self, side: int, off: float) -> float:
        xs = [spot.x for spot in self._at.spots.values() if spot.side == side]
        return (xs[0] if xs else self._at.core.left) + side * off

    def _bodies(self) -> list[str]:
        return [*(coil.name for coil in self._at.coils), *self._at.screens, "core"]

    def _of_body(self, name: str) -> Spot | None:
        spots = self._at.spots
        return next((spots[one] for one in (name, f"{name}.start", f"{name}.lead") if one in spots), None)

    def _load(self, load: Load) -> None:
        spots, scale = self._at.spots, self._scale
        if load.from_terminal not in spots or load.to_terminal not in spots:
            return
        a, b = spots[load.from_terminal], spots[load.to_terminal]
        if a.side != b.side:
            return
        upper, lower = (a, b) if a.y <= b.y else (b, a)
        x = a.x + a.side * 72 * scale
        middle = (a.y + b.y) / 2
        half = max(6 * scale, min(18 * scale, (lower.y - upper.y) / 2 - 3 * scale))
        words = show(load.ohms or 0.0, "ohm", 3).replace("ohm", "Ω")
        now = self._rig.now is Part.LOAD and load is self._rig.loads[-1]
        box = Box(x - 18 * scale, lower.y + 3 * scale, 36 * scale, 13 * scale)
        self.symbols.append(Symbol(Kind.RESISTOR, x, middle, half, "", words, box, now, upright=True))
        for spot, end in ((upper, middle - half), (lower, middle + half)):
            self.wires.append(Wire((spot.name, ""), ((spot.x, spot.y), (x, spot.y), (x, end)), now))

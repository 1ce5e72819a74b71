"""What the hand has wired at this moment, and the circuit that this makes with the unit as it truly is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.rehearsal.network import Network
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.supply import Source
from bench.rehearsal.unit import Unit
from bench.rehearsal.variation import SourceTruth

__all__ = ["Connection", "Excitation", "Quantity", "Wiring", "circuit", "node_of", "terminals"]

_METER_VOLTS = 1 / 10e6  # siemens of a voltmeter
_METER_AMPS = 0.1  # ohm of an ammeter with its fuse
_CLIP = 2e-3  # ohm of a wire link with its clips
_EARTH = 0.05  # ohm of the wire that earths the unit
_EARTH_JOINT = 0.03  # ohm from the earth lead to each thing that it is joined to

_BENCH_TERMINALS = (
    "core", "band", "earth.lead", "supply.live", "supply.neutral", "resistor.supply", "resistor.winding",
)  # fmt: skip


class Quantity(StrEnum):
    """What the meter is connected for."""

    VOLTAGE_AC = "voltage_ac"
    VOLTAGE_DC = "voltage_dc"
    CURRENT_AC = "current_ac"
    RESISTANCE = "resistance"
    RESISTANCE_4W = "resistance_4w"
    FREQUENCY = "frequency"


@dataclass(frozen=True, slots=True)
class Connection:
    """The meter's two leads, by terminal, and what they are plugged for."""

    quantity: Quantity
    begin: str
    end: str


@dataclass(frozen=True, slots=True)
class Excitation:
    """Which terminals are fed, how high the dial stands [V], from what, and what lies in series."""

    begin: str
    end: str
    volts: float
    source: Source
    limiter: bool = False
    series: float | None = None


@dataclass(frozen=True, slots=True)
class Wiring:
    """All that is wired: hashable, so that a solved circuit can be found again."""

    connection: Connection | None = None
    links: tuple[tuple[str, str], ...] = ()
    excitation: Excitation | None = None
    loads: tuple[tuple[str, float], ...] = ()

    @property
    def ammeter_in_feed(self) -> bool:
        """Whether the ammeter takes the place of the wire to the fed terminal.

        It does unless both its leads are on the unit and neither is on the fed terminal: then it lies
        across what it is held to.
        """
        connection, fed = self.connection, self.excitation
        if connection is None or connection.quantity is not Quantity.CURRENT_AC:
            return False
        ends = (connection.begin, connection.end)
        at_bench = any(end.startswith(("supply.", "resistor.")) for end in ends)
        return at_bench or fed is None or fed.begin in ends


def terminals(unit: Unit) -> tuple[str, ...]:
    """Every terminal that a lead can be put on."""
    return (*unit.nodes, *_BENCH_TERMINALS)


def node_of(unit: Unit, terminal: str) -> str:
    """The true node behind a terminal; raises RehearsalProblem."""
    if terminal in _BENCH_TERMINALS:
        return terminal
    try:
        return unit.nodes[terminal]
    except KeyError:
        raise RehearsalProblem(
            f"terminal {terminal!r} is not on this bench, expected one of {', '.join(terminals(unit))}"
        ) from None


def circuit(
    unit: Unit, wiring: Wiring, temperature: float, source: SourceTruth | None, lamp: float, leads: float
) -> Network:
    """The linear circuit; `source` None leaves the supply off. `lamp` is the limiter's resistance now [ohm].

    leads: resistance [ohm] of both leads of an ammeter together.
    """
    net = Network()
    for terminal in _BENCH_TERMINALS:
        net.node(terminal)
    net.resistor("earth", "earth.lead", net.earth, _EARTH)
    for joined in ("core", "band", *unit.earthed):
        net.resistor(f"earth to {joined}", "earth.lead", joined, _EARTH_JOINT)
    indices = [
        net.coil(f"coil {n}", coil.begin, coil.end, coil.turns, coil.resistance_at(temperature))
        for n, coil in enumerate(unit.coils)
    ]
    for row, one in enumerate(indices):
        for column, other in enumerate(indices):
            net.inductance(one, other, float(unit.leakage[row, column]))
    for n, contact in enumerate(unit.contacts):
        net.resistor(f"contact {n}", contact.begin, contact.end, contact.resistance)
    for (body, next_body), ohms in unit.insulation.items():
        net.conductance(unit.bodies[body], unit.bodies[next_body], 1 / ohms)
    for n, (here, there) in enumerate(wiring.links):
        net.resistor(f"link {n}", node_of(unit, here), node_of(unit, there), _CLIP)
    for winding, ohms in wiring.loads:
        net.resistor(f"load {winding}", unit.nodes[f"{winding}.start"], unit.nodes[f"{winding}.finish"], ohms)
    _meter(net, unit, wiring, leads)
    if source is not None and wiring.excitation is not None:
        _feed(net, unit, wiring, wiring.excitation, source, lamp, leads)
    return net


def _meter(net: Network, unit: Unit, wiring: Wiring, leads: float) -> None:
    connection = wiring.connection
    if connection is None:
        return
    begin, end = node_of(unit, connection.begin), node_of(unit, connection.end)
    match connection.quantity:
        case Quantity.CURRENT_AC:
            if not wiring.ammeter_in_feed:
                net.resistor("ammeter", begin, end, _METER_AMPS + leads)
        case Quantity.VOLTAGE_AC | Quantity.VOLTAGE_DC | Quantity.FREQUENCY:
            net.conductance(begin, end, _METER_VOLTS)
        case Quantity.RESISTANCE | Quantity.RESISTANCE_4W:
            pass


def _feed(
    net: Network, unit: Unit, wiring: Wiring, fed: Excitation, source: SourceTruth, lamp: float, leads: float
) -> None:
    """Live - limiter - [resistor] - (ammeter) - from ... to - neutral."""
    net.source("supply", "supply.live", source.resistance, source.inductance)
    at = "supply.live"
    if fed.limiter:
        after = "resistor.supply" if fed.series is not None else "limiter.out"
        net.resistor("limiter", at, after, lamp)
        at = after
    elif fed.series is not None:
        net.resistor("feed", at, "resistor.supply", _CLIP)
        at = "resistor.supply"
    if fed.series is not None:
        net.resistor("series", at, "resistor.winding", fed.series)
        at = "resistor.winding"
    if wiring.ammeter_in_feed:
        net.resistor("ammeter", at, node_of(unit, fed.begin), _METER_AMPS + leads)
    else:
        net.resistor("feed wire", at, node_of(unit, fed.begin), _CLIP)
    net.resistor("return wire", node_of(unit, fed.end), net.earth, _CLIP)

"""The bench as it truly is at this moment: what is wired, how warm it is, and what a perfect meter would show."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bench.job.model import Job
from bench.rehearsal.faults import Fault
from bench.rehearsal.heat import Heat, heat_of
from bench.rehearsal.network import Network, Response
from bench.rehearsal.solve import Steady, orders, rms, solve_steady, waveform
from bench.rehearsal.supply import Lamp, Mains, Source
from bench.rehearsal.unit import Unit, build_unit
from bench.rehearsal.variation import Variation
from bench.rehearsal.wiring import Connection, Excitation, Wiring, circuit, node_of

__all__ = ["Solved", "Workbench"]

_STEP = 0.003  # of the logarithm of the level: between two solved levels the readings are interpolated
_KEPT = 96  # solved circuits kept
_WARM_STEP = 0.5  # K: between two solved temperatures of the copper nothing is told apart
_LOSSES_HOLD = 600.0  # s for which the losses of a wait are taken as they are


class Solved:
    """One solved circuit: its steady state, read by node and branch."""

    def __init__(self, network: Network, steady: Steady) -> None:
        self._network = network
        self.steady = steady

    def voltage(self, begin: str, end: str) -> NDArray[np.complex128]:
        """Peak phasors [V] of the odd harmonics between two true nodes."""
        nodes = self.steady.nodes
        return np.asarray(nodes[:, self._network.node(begin)] - nodes[:, self._network.node(end)])

    def current(self, branch: str) -> NDArray[np.complex128]:
        """Peak phasors [A] of a branch; zeros where the circuit has no such branch."""
        if not self._network.has_branch(branch):
            return np.zeros(len(orders()), complex)
        return np.asarray(self.steady.branches[:, self._network.branch(branch)])


class Workbench:
    """One truth behind every instrument; `changed_at` is when somebody last moved a lead or the dial.

    temperature [K]: of the room, and of a unit that was left in it;  waited [s]: time that passed in one go, which the
    clock does not know of;  densest [A/m2]: in any wire during the last wait.
    """

    def __init__(self, job: Job, variation: Variation, faults: tuple[Fault, ...] = ()) -> None:
        self.unit: Unit = build_unit(job, variation, faults)
        assert job.supply is not None, "build_unit refuses such a job"
        self.mains = Mains(job.supply.frequency, variation, faults)
        self.variation = variation
        self.temperature = variation.temperature
        self.wiring = Wiring()
        self.changed_at = 0.0
        self.heat: Heat = heat_of(job, self.unit)
        self.waited = 0.0
        self.densest = 0.0
        self.off_at: float | None = None
        self._lamp = Lamp(job.supply.voltage)
        self._solved: OrderedDict[tuple[Wiring, float, int], Solved] = OrderedDict()
        self._linear: tuple[tuple[Wiring, float], tuple[Network, Response]] | None = None

    def require(self, *names: str) -> None:
        """Raise RehearsalProblem unless all these terminals are on the bench."""
        for name in names:
            node_of(self.unit, name)

    def connect(self, connection: Connection | None, links: tuple[tuple[str, str], ...], time: float) -> None:
        """Move the meter's leads and the links; raises RehearsalProblem for an unknown terminal."""
        ends = () if connection is None else (connection.begin, connection.end)
        self.require(*ends, *(end for link in links for end in link))
        self._rewire(replace(self.wiring, connection=connection, links=links), time)

    def excite(self, excitation: Excitation | None, time: float) -> None:
        """Feed the unit, or nothing; raises RehearsalProblem for an unknown terminal."""
        if excitation is not None:
            self.require(excitation.begin, excitation.end)
        self._rewire(replace(self.wiring, excitation=excitation), time)

    def load(self, winding: str, ohms: float | None, time: float) -> None:
        """Hang a load [ohm] on a winding's outer leads, or take it off."""
        self.require(f"{winding}.start", f"{winding}.finish")
        others = tuple(load for load in self.wiring.loads if load[0] != winding)
        added = () if ohms is None else ((winding, ohms),)
        self._rewire(replace(self.wiring, loads=others + added), time)

    def voltage(self, begin: str, end: str, time: float) -> float:
        """True RMS [V] between two terminals."""
        one, other = node_of(self.unit, begin), node_of(self.unit, end)
        return self._between_levels(time, lambda solved: rms(solved.voltage(one, other)))

    def current(self, time: float) -> float:
        """True RMS [A] through the ammeter."""
        return self._between_levels(time, lambda solved: rms(solved.current("ammeter")))

    def wait(self, seconds: float, time: float) -> None:
        """Let time pass with everything as it is: what is fed warms up, what is not cools down.

        Only here does the unit warm up: the minutes of single readings are left out.
        """
        self._to_now(time)
        left = seconds
        while left > 0:
            step = min(left, _LOSSES_HOLD)
            copper, iron = self._losses(time)
            self.heat.pass_on(step, copper, iron)
            self.waited += step
            left -= step

    def copper_temperature(self, time: float) -> float:
        """Of all windings [K]."""
        self._to_now(time)
        return self.temperature + self.heat.copper

    def core_temperature(self, time: float) -> float:
        """Of the core [K]."""
        self._to_now(time)
        return self.temperature + self.heat.iron

    def _to_now(self, time: float) -> None:
        """It cools by the clock; while it is fed, it stays as warm as the last wait left it."""
        if self.energised:
            self.heat.since(time)
        else:
            self.heat.cool(time)

    def _losses(self, time: float) -> tuple[float, float]:
        """Watts in the copper and what shorts it, and in the steel."""
        solved = self.solved(time)
        if solved is None:
            self.densest = 0.0
            return 0.0, 0.0
        warm = self.copper_temperature(time)
        amps = [rms(solved.current(f"coil {n}")) for n in range(len(self.unit.coils))]
        self.densest = max(one / coil.wire_area for one, coil in zip(amps, self.unit.coils, strict=True))
        copper = sum(one**2 * coil.resistance_at(warm) for one, coil in zip(amps, self.unit.coils, strict=True))
        copper += sum(
            rms(solved.current(f"contact {n}")) ** 2 * contact.resistance
            for n, contact in enumerate(self.unit.contacts)
        )
        return copper, solved.steady.core_power

    def power(self, time: float) -> float:
        """Watts [W] that go into the fed winding at its own terminals; nothing while nothing is fed."""
        fed = self.wiring.excitation
        if fed is None:
            return 0.0
        ends = node_of(self.unit, fed.begin), node_of(self.unit, fed.end)
        branch = "ammeter" if self.wiring.ammeter_in_feed else "feed wire"

        def watts(solved: Solved) -> float:
            volts, amps = solved.voltage(*ends), solved.current(branch)
            return float(np.real(np.sum(volts * np.conj(amps)))) / 2

        return self._between_levels(time, watts)

    def resistance(self, begin: str, end: str, time: float = 0.0) -> float:
        """Resistance [ohm] between two terminals; infinite while the unit is energised, for want of better."""
        if self.energised:
            return math.inf
        warm = self.copper_temperature(time)
        net = circuit(self.unit, self.wiring, warm, None, self._lamp.cold, self.variation.meter_leads)
        return net.resistance(node_of(self.unit, begin), node_of(self.unit, end))

    @property
    def energised(self) -> bool:
        """Whether any volts are on."""
        return self.wiring.excitation is not None

    def solved(self, time: float) -> Solved | None:
        """The circuit as it stands, solved at the level of this moment; None while nothing is fed."""
        fed = self.wiring.excitation
        return None if fed is None else self._solve(self.wiring, fed, fed.volts * self._level(time), None)

    def waveform(self, begin: str, end: str, time: float) -> NDArray[np.float64]:
        """One period of the voltage [V] between two terminals."""
        solved = self.solved(time)
        nodes = node_of(self.unit, begin), node_of(self.unit, end)
        return waveform(np.zeros(len(orders()), complex) if solved is None else solved.voltage(*nodes))

    def _level(self, time: float) -> float:
        return self.mains.level(time + self.waited)

    def _rewire(self, wiring: Wiring, time: float) -> None:
        self._to_now(time)
        was_fed, self.wiring = self.energised, wiring
        if was_fed and not self.energised:
            self.off_at = time
        self.changed_at = time

    def _between_levels(self, time: float, read: Callable[[Solved], float]) -> float:
        fed = self.wiring.excitation
        if fed is None:
            return 0.0
        level = fed.volts * self._level(time)
        place = math.log(level) / _STEP
        lower = math.floor(place)
        low = self._at_step(fed, lower, None)
        high = self._at_step(fed, lower + 1, low)
        a, b = read(low), read(high)
        if a <= 0 or b <= 0:
            return max(a, b, 0.0)
        return a * math.exp(math.log(b / a) * (place - lower))

    def _at_step(self, fed: Excitation, step: int, near: Solved | None) -> Solved:
        key = (self.wiring, self._warm(), step)
        found = self._solved.get(key)
        if found is None:
            found = self._solved[key] = self._solve(self.wiring, fed, math.exp(step * _STEP), near)
            while len(self._solved) > _KEPT:
                self._solved.popitem(last=False)
        else:
            self._solved.move_to_end(key)
        return found

    def _warm(self) -> float:
        """Temperature [K] of the copper as solved circuits have it."""
        return self.temperature + round(self.heat.copper / _WARM_STEP) * _WARM_STEP

    def _solve(self, wiring: Wiring, fed: Excitation, volts: float, near: Solved | None) -> Solved:
        """Steady state at a true source voltage; the lamp's resistance is found by trying."""
        source = self.variation.variac if fed.source is Source.VARIAC else self.variation.low_voltage
        if fed.series is not None:
            true = replace(fed, series=fed.series * self.variation.series_scale)
            wiring = replace(wiring, excitation=true)
        angular = np.asarray(2 * math.pi * self.mains.frequency * orders(), dtype=np.float64)
        phasors = self.mains.phasors(volts)
        start = None if near is None else near.steady.flux_density

        def linear(lamp: float) -> tuple[Network, Response]:
            net = circuit(self.unit, wiring, self._warm(), source, lamp, self.variation.meter_leads)
            return net, net.solve(angular)

        def at(lamp: float) -> Solved:
            nonlocal start
            if fed.limiter:
                net, response = linear(lamp)
            else:
                # All but the core is the same at every level, as long as nobody moves a lead.
                key = wiring, self._warm()
                if self._linear is None or self._linear[0] != key:
                    self._linear = key, linear(lamp)
                net, response = self._linear[1]
            steady = solve_steady(self.unit.iron, response, phasors, self.mains.frequency, start)
            start = steady.flux_density
            return Solved(net, steady)

        if not fed.limiter:
            return at(0.0)
        lamp = self._lamp.cold
        for _ in range(25):
            solved = at(lamp)
            wanted = self._lamp.resistance(rms(solved.current("limiter")) * lamp)
            if abs(wanted / lamp - 1) < 1e-5:
                break
            lamp = wanted
        return solved

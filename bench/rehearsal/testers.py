"""What the hand reads off other instruments, and with its own senses: testers, thermometer, what lies in the drawer."""

from __future__ import annotations

import math
from collections.abc import Callable

from bench.job.model import Job
from bench.quantities import Dimension, QuantityError, parse
from bench.rehearsal.chance import bounded_normal, stream
from bench.rehearsal.handheld import read_wattmeter
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.workbench import Workbench

__all__ = ["Testers", "load_scale"]

# Breaks down at so many volts where the insulation is this good, and less with the power of its resistance: a law of
# this rehearsal's own, so that what an insulation tester finds low does not bear a dielectric test.
_BREAKDOWN = 6000.0
_SOUND = 300e6
_POWER = 0.35
_SMELLS = 90.0  # K over the room from which varnish is smelled
_BURNS = 20e6  # A/m2 at which a wire that is wound in burns its enamel: four times what it is loaded with, from memory
_E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
_FUSES = (
    0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0,
    5.0, 6.3, 8.0, 10.0,
)  # fmt: skip

Ask = dict[str, object]


class Testers:
    """Answers `enter` for everything that is not the hand-held meter's."""

    def __init__(self, job: Job, bench: Workbench, seed: int) -> None:
        self._job, self._bench, self._seed = job, bench, seed
        self._by_quantity: dict[str, Callable[[Ask, float], str]] = {
            "insulation_resistance": lambda ask, now: self._insulation(ask),
            "temperature": self._temperature,
            "power": lambda ask, now: read_wattmeter(self._bench.power(now), self._seed),
            "stack_height": lambda ask, now: f"{round(self._bench.unit.stack * 2e3) / 2:g} mm",
            "test_voltage": lambda ask, now: f"{_asked(ask, 'volts', Dimension.VOLTAGE):.0f} V",
            "leakage_current": lambda ask, now: self._leakage(ask),
            "earth_resistance": lambda ask, now: f"{self._own('earth', 0.02, 0.07):.3f} ohm",
            "load_resistance": lambda ask, now: self._load_at_hand(ask),
            "fuse": lambda ask, now: f"{self._fuse():g} A",
            "time": self._since_off,
            "noticed": lambda ask, now: self._noticed(now),
            "equipment_class": lambda ask, now: "I",
            "stray_field": lambda ask, now: f"{self._own('field', 1.0, 9.0):.1f} uT",
        }

    @property
    def quantities(self) -> tuple[str, ...]:
        """What can be asked for."""
        return tuple(self._by_quantity)

    def read(self, quantity: str, ask: Ask, now: float) -> str:
        """What the hand types; raises RehearsalProblem."""
        return self._by_quantity[quantity](ask, now)

    def _own(self, name: str, low: float, high: float) -> float:
        """Something of the equipment around the unit, by seed."""
        return float(stream(self._seed, f"equipment {name}").uniform(low, high))

    def _temperature(self, ask: Ask, now: float) -> str:
        bench = self._bench
        kelvin = bench.core_temperature(now) if ask.get("place") == "core" else bench.temperature
        return f"{kelvin - 273.15:.1f} degC"

    def _insulation(self, ask: Ask) -> str:
        pairs = self._pairs(ask)
        ohms = [self._bench.unit.insulation[pair] for pair in pairs]
        if not pairs:
            # The equipment, with all else in it: what its mains side has to metal beside the unit's own.
            ohms = [self._own("insulation", 20e6, 200e6), self._to_core()]
        true = (min(ohms) if pairs else 1 / sum(1 / one for one in ohms)) * self._bench.variation.tester_scale
        # A tester shows two and a half digits or so.
        step = 10.0 ** (math.floor(math.log10(true)) - 1)
        megohms = round(true / step) * step / 1e6
        return f"{megohms:.{max(0, -round(math.log10(step / 1e6)))}f} Mohm"

    def _leakage(self, ask: Ask) -> str:
        pairs = self._pairs(ask)
        if not pairs:
            return f"{self._own('leakage', 0.1e-3, 1.2e-3) * 1e3:.2f} mA"
        volts = _asked(ask, "volts", Dimension.VOLTAGE)
        insulation = self._bench.unit.insulation
        if any(volts > _BREAKDOWN * min(1.0, insulation[pair] / _SOUND) ** _POWER for pair in pairs):
            return "flashed"
        farads = sum(float(stream(self._seed, f"capacitance {one} {other}").uniform(80e-12, 300e-12))
                     for one, other in pairs)  # fmt: skip
        through = sum(1 / insulation[pair] for pair in pairs)
        amps = volts * math.hypot(2 * math.pi * self._bench.mains.frequency * farads, through)
        return f"{amps * 1e3:.2f} mA"

    def _to_core(self) -> float:
        """Of the primary to the core, the lowest way there."""
        primary = self._job.primary
        assert primary is not None, "build_unit refuses such a job"
        pairs = self._bench.unit.insulation
        return min(ohms for pair, ohms in pairs.items() if primary.name in pair and "core" in pair)

    def _pairs(self, ask: Ask) -> list[tuple[str, str]]:
        """The pairs of bodies that lie between what is asked for; none where that is the whole equipment."""
        between = ask.get("between")
        if not isinstance(between, list) or len(between) != 2 or not all(isinstance(name, str) for name in between):
            raise RehearsalProblem("between: expected two of the windings, screens, core or rest")
        one, other = (str(name) for name in between)
        if other == "metal" and one in ("mains", "mains pins", "earth pin"):
            return []
        bodies = self._bench.unit.bodies
        if one in ("rest", "secondaries"):
            one, other = other, one
        groups = {
            "rest": [name for name in bodies if name != one],
            "secondaries": [w.name for w in self._job.secondaries],
        }
        for name in (one, other):
            if name not in bodies and not (name in groups and name is other):
                raise RehearsalProblem(f"between: {name!r} is not in the job, expected {', '.join(bodies)} or rest")
        if one == other:
            raise RehearsalProblem("between: the same name twice, expected two")
        others = groups.get(other, [other])
        return [
            pair for pair in self._bench.unit.insulation if one in pair and (pair[0] in others or pair[1] in others)
        ]

    def _load_at_hand(self, ask: Ask) -> str:
        """The nearest value of a drawer of resistors."""
        wanted = _asked(ask, "expected", Dimension.RESISTANCE)
        if wanted <= 0:
            raise RehearsalProblem("expected: expected more than 0 ohm")
        decade = math.floor(math.log10(wanted))
        drawer = [value * 10.0**power for value in _E12 for power in (decade, decade + 1)]
        return f"{min(drawer, key=lambda ohms: abs(math.log(ohms / wanted))):.3g} ohm"

    def _fuse(self) -> float:
        """The next value above what the primary takes, with a quarter to spare."""
        primary = self._job.primary
        assert primary is not None, "build_unit refuses such a job"
        assert self._job.supply is not None, "build_unit refuses such a job"
        amps = primary.rated_current
        if amps is None:
            watts = sum((one.rated_voltage or 0.0) * (one.rated_current or 0.0) for one in self._job.secondaries)
            amps = watts / self._job.supply.voltage
        return next((value for value in _FUSES if value >= 1.25 * amps), _FUSES[-1])

    def _since_off(self, ask: Ask, now: float) -> str:
        if self._bench.off_at is None:
            raise RehearsalProblem("time: nothing was switched off yet")
        return f"{now - self._bench.off_at:.1f} s"

    def _noticed(self, now: float) -> str:
        warmest = max(self._bench.copper_temperature(now), self._bench.core_temperature(now))
        if self._bench.densest > _BURNS:
            return "smells of burnt enamel"
        return "smells of hot varnish" if warmest - self._bench.temperature > _SMELLS else "good"


def load_scale(seed: int, winding: str) -> float:
    """What a load resistor truly has over what is printed on it."""
    return 1 + bounded_normal(stream(seed, f"load {winding}"), 0.02, 0.045)


def _asked(ask: Ask, key: str, dimension: Dimension) -> float:
    value = ask.get(key)
    if not isinstance(value, str):
        raise RehearsalProblem(f"{key}: {'missing' if value is None else repr(value)}, expected text")
    try:
        return parse(value, dimension)
    except QuantityError as error:
        raise RehearsalProblem(f"{key}: {error}") from None

"""Readings that a person types for a diagnosis, as the steps that a test would have made of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.looks import LookProblem, look_step
from bench.diagnosis.pairs import pair_of
from bench.diagnosis.typed_form import FORM, OVER_RANGE, U_WATTS
from bench.estimate import Estimate
from bench.job.expectation import Expectation
from bench.quantities import Dimension, QuantityError, parse_typed, show
from drivers.accuracy import Accuracy
from drivers.hand import typed_reading
from drivers.reading import Component, Quantity, Reading

__all__ = ["SHAPES", "TypedProblem", "TypedReadings"]

SHAPES = (
    "ohms:WINDING=OHMS, volts:WINDING=VOLTS@FED, amps=AMPS@FED, watts=WATTS@FED, stack=HEIGHT, search:TURNS=VOLTS@FED, "
    "sum:ONE-OTHER=VOLTS@FED, bucking:ONE-OTHER=VOLTS@FED, backfed:ONE-OTHER=VOLTS@VOLTS or look:FAULT:WINDING=yes"
)
_SQUARE = 1 / math.sqrt(12)
# Below this share of nominal the core's permeability and loss are those of a few volts; common practice, no source.
_LOW = 0.15
_MOST_SEARCH_TURNS = 200
# Counts of a leaflet up to which they are those of a hand meter's few digits; common practice, no source.
_FEW_COUNTS = 20.0
# Times a height that a slip of the pen is taken for.
_SLIP = 2.0


class TypedProblem(ValueError):
    """A typed reading that can't be taken; the text says what was expected."""


@dataclass(frozen=True)
class _Said:
    text: str
    what: str
    name: str
    value: str
    fed: str


class TypedReadings:
    """Makes steps of one person's readings with one meter.

    design: what a good unit reads;  accuracies: of the meter, by quantity: what it lacks has the doubt of
    its last digit alone.
    """

    def __init__(self, design: Expectation, accuracies: Mapping[Quantity, Accuracy]) -> None:
        self._design = design
        self._accuracies = accuracies
        self._taken = 0

    def step(self, text: str) -> StepResult:
        """`ohms:heater=0.36 ohm`, `volts:heater=6.9 V@229.6 V`, `amps=180 mA@120 V`, `watts=1.9 W@120 V`;
        `stack=42 mm`; `search:10=3.5 V@230 V`, `sum:ht-heater=23.9 V@10 V`, `bucking:ht-heater=23.3 V@10 V`,
        `backfed:primary-ht=228.1 V@535.9 V`; `look:core_gap=no`, `look:joint_poor:heater=yes`.

        FED: the volts on the primary at the same moment.  Watts are the core's alone: take I2R off a wattmeter's.
        backfed: volts of one winding at those of another, a third being fed and neither of the two loaded.
        Raises TypedProblem.
        """
        try:
            return self._step(text)
        except TypedProblem as problem:
            if text in str(problem):
                raise
            raise TypedProblem(f"{text!r}: {problem}") from None

    def _step(self, text: str) -> StepResult:
        said = _read(text)
        match said.what:
            case "ohms":
                name = self._span(said)
                if said.value.strip().lower() in OVER_RANGE:
                    return _open(name, self._design.spans[name].resistance)
                ohms = Estimate.of(self._reading(said.value, Dimension.RESISTANCE, Quantity.RESISTANCE))
                expected = self._design.spans[name].resistance
                return _step(
                    f"resistance:{name}", f"resistance of {name}", "resistance", name, "ohm", ohms, expected, None
                )
            case "volts":
                return self._turns(said)
            case "amps":
                amps = Estimate.of(self._reading(said.value, Dimension.CURRENT, Quantity.CURRENT_AC))
                fed = self._fed(said).value or 0.0
                curve = self._design.curve
                expected = None if curve is None else curve.current_at(fed)
                label = f"exciting current at {fed:g} V"
                low = fed <= _LOW * self._design.voltage
                # The test's own `exciting:100` is at 100 % of nominal.
                name = "low_amps" if low else f"exciting:{fed:g}V"
                return _step(name, label, "current_ac", self._design.fed, "A", amps, expected, fed)
            case "watts":
                value, resolution = _typed(said.value, Dimension.POWER)
                fed = self._fed(said).value or 0.0
                watts = Estimate(value, {"wattmeter": math.hypot(U_WATTS * value, resolution * _SQUARE)})
                curve = self._design.curve
                expected = None if curve is None else curve.watts_at(fed)
                low = fed <= _LOW * self._design.voltage
                return _step(
                    "low_watts" if low else f"core_watts:{fed:g}V",
                    f"core watts at {fed:g} V",
                    "power",
                    self._design.fed,
                    "W",
                    watts,
                    expected,
                    fed,
                )
            case "stack":
                value, resolution = _typed(said.value, Dimension.LENGTH)
                due = self._design.stack
                if due is not None and not due / _SLIP < value < due * _SLIP:
                    raise TypedProblem(f"{said.text!r}: the design's stack is {show(due, 'm', 3)}, expected near that")
                height = Estimate(value, {"rule": max(resolution * _SQUARE, 1e-4)})
                return _step(
                    "stack_height", "height of the stack", "stack_height", "", "m", height, self._design.stack, None
                )
            case "search":
                return self._search(said)
            case "backfed":
                return self._backfed(said)
            case "sum" | "bucking":
                return self._series(said)
            case "look":
                try:
                    return look_step(said.name, said.value.lower(), self._design)
                except LookProblem as problem:
                    raise TypedProblem(f"{text!r}: {problem}") from None
        raise TypedProblem(f"{text!r}: {said.what!r} is no reading, expected {SHAPES}")

    def _turns(self, said: _Said) -> StepResult:
        name = self._span(said)
        turns, at = self._by_volts(said)
        expected = abs(self._design.spans[name].turns)
        return _step(f"turns:{name}", f"turns of {name} by volts", "turns_by_ratio", name, "turns", turns, expected, at)

    def _search(self, said: _Said) -> StepResult:
        """A coil round the core whose turns are known for certain."""
        if not said.name.isdecimal() or not 0 < int(said.name) <= _MOST_SEARCH_TURNS:
            raise TypedProblem(
                f"{said.text!r}: expected the search coil's turns, a whole number up to {_MOST_SEARCH_TURNS}, as in "
                "search:10=3.5 V@230 V"
            )
        wound = int(said.name)
        turns, at = self._by_volts(said)
        label = f"search coil of {wound} turns, by volts"
        return _step(f"search:{wound}", label, "search_coil", self._design.fed, "turns", turns, float(wound), at)

    def _series(self, said: _Said) -> StepResult:
        """Turns between the free ends of two that are joined so that they add, or oppose each other."""
        one, other = self._pair(said)
        sizes = [abs(self._design.spans[name].turns) for name in (one, other)]
        turns, at = self._by_volts(said, least=0.0)
        # Each of the two sees of the flux beside the core by its place, whatever their difference.
        turns = turns.also("flux beside the core", self._design.leakage(at) * max(sizes) / math.sqrt(3))
        if self._design.fed in (one, other):
            # The primary's volts hold its own drop, which the other winding's do not.
            turns = turns.also("flux beside the core", self._design.drop(at) * abs(self._design.fed_span.turns))
        adds = said.what == "sum"
        label = f"{one} and {other} aiding" if adds else f"{one} against {other}"
        expected = sum(sizes) if adds else abs(sizes[0] - sizes[1])
        return _step(f"{said.what}:{one}-{other}", label, "turns_in_series", one, "turns", turns, expected, at)

    def _backfed(self, said: _Said) -> StepResult:
        """Turns of one winding by those of the other, drawn; what is read once with the ends exchanged is the same."""
        design = self._design
        one, other = self._pair(said)
        if not said.fed:
            raise TypedProblem(f"{said.text!r}: the volts of {other} at the same moment are missing, expected @VOLTS")
        first = self._reading(said.value, Dimension.VOLTAGE, Quantity.VOLTAGE_AC)
        second = self._reading(said.fed, Dimension.VOLTAGE, Quantity.VOLTAGE_AC)
        turns = Estimate.of(first) / Estimate.of(second) * abs(design.spans[other].turns)
        # The volts on the primary that make as much flux.
        at = (second.value or 0.0) * abs(design.fed_span.turns / design.spans[other].turns)
        turns = turns.also("leakage of the winding fed back", design.leakage(at) / math.sqrt(3) * turns.value)
        label = f"turns of {one} by {other}, a third winding fed"
        expected = abs(design.spans[one].turns)
        return _step(f"backfed:{one}-{other}", label, "turns_back_fed", one, "turns", turns, expected, at)

    def _by_volts(self, said: _Said, least: float | None = None) -> tuple[Estimate, float]:
        """Turns that volts and the primary's at the same moment tell, and the latter [V].

        Readings to one place of the digits share the meter's error of range.
        """
        design, fed = self._design, self._fed(said)
        volts = Estimate.of(self._reading(said.value, Dimension.VOLTAGE, Quantity.VOLTAGE_AC, least))
        at = fed.value or 0.0
        turns = volts / Estimate.of(fed) * (abs(design.fed_span.turns) / (1 - design.drop(at)))
        return turns.also("leakage of the primary", design.leakage(at) / math.sqrt(3) * turns.value), at

    def _pair(self, said: _Said) -> tuple[str, str]:
        spans = self._design.spans
        pair = pair_of(said.name, spans)
        if pair is None:
            known = ", ".join(spans)
            raise TypedProblem(f"{said.text!r}: expected {said.what}:ONE-OTHER=VOLTS@VOLTS with two of {known}")
        if spans[pair[0]].winding == spans[pair[1]].winding and said.what == "backfed":
            raise TypedProblem(f"{said.text!r}: {pair[0]} and {pair[1]} are one winding, expected two")
        return pair

    def _span(self, said: _Said) -> str:
        if said.name not in self._design.spans:
            known = ", ".join(self._design.spans)
            raise TypedProblem(f"{said.text!r}: no winding {said.name!r}, expected one of {known}")
        return said.name

    def _fed(self, said: _Said) -> Reading:
        if not said.fed:
            raise TypedProblem(f"{said.text!r}: the volts on the primary are missing, expected {said.text}@230 V")
        return self._reading(said.fed, Dimension.VOLTAGE, Quantity.VOLTAGE_AC)

    def _reading(self, text: str, dimension: Dimension, quantity: Quantity, least: float | None = None) -> Reading:
        value, resolution = _typed(text, dimension, least)
        self._taken += 1
        accuracy = self._accuracies.get(quantity, Accuracy(0.0))
        now = datetime.now(UTC)
        reading = typed_reading(
            value, resolution, quantity, accuracy, at=now, monotonic=float(self._taken), raw=text.strip()
        )
        if not 0 < accuracy.counts <= _FEW_COUNTS:
            return reading  # hundreds of counts are a bench meter's per cent of a range: an offset
        return replace(reading, components=_as_of_a_hand_meter(reading.components, f"typed {self._taken}"))


def _as_of_a_hand_meter(components: tuple[Component, ...], own: str) -> tuple[Component, ...]:
    """What a leaflet gives in counts is an offset that all readings of a range share, and its crookedness: half each.

    Taken as shared alone it would make the ratio of two volts of one range as sharp as their last digits.  Common
    practice, no source.
    """
    found = []
    for part in components:
        if not part.source.endswith(":offset"):
            found.append(part)
            continue
        half = part.u / math.sqrt(2)
        found += [replace(part, u=half), replace(part, u=half, source=f"{own}:crookedness")]
    return tuple(found)


def _read(text: str) -> _Said:
    found = FORM.fullmatch(text.strip())
    if found is None:
        raise TypedProblem(f"{text!r}: expected {SHAPES}")
    return _Said(
        text, found["what"], (found["name"] or "").strip(), found["value"].strip(), (found["fed"] or "").strip()
    )


def _typed(text: str, dimension: Dimension, least: float | None = None) -> tuple[float, float]:
    """Value and resolution [SI];  least: what may still be read, None where nothing is no reading."""
    try:
        found = parse_typed(text.strip(), dimension)
    except QuantityError as problem:
        raise TypedProblem(str(problem)) from None
    if not (found.value > 0 if least is None else found.value >= least):
        raise TypedProblem(f"{text.strip()!r}: expected {'more than 0' if least is None else f'{least:g} or more'}")
    return found.value, found.resolution


def _step(
    id: str, label: str, quantity: str, winding: str, unit: str, estimate: Estimate, expected: float | None,
    at_volts: float | None,
) -> StepResult:  # fmt: skip
    return StepResult(
        id=id, label=label, quantity=quantity, winding=winding, measured=estimate.value, state="good", unit=unit,
        verdict=Verdict.ACCEPTED, expected=expected, u=estimate.u, at_volts=at_volts,
        components=estimate.components, note="typed",
    )  # fmt: skip


def _open(name: str, expected: float | None) -> StepResult:
    """As the test keeps a winding through which no current passes."""
    return StepResult(
        id=f"resistance:{name}", label=f"resistance of {name}", quantity="resistance", winding=name, measured=None,
        state="overload", unit="ohm", verdict=Verdict.REJECTED, expected=expected, note="open: no current passes",
    )  # fmt: skip

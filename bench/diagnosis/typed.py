"""Readings that a person types for a diagnosis, as the steps that a test would have made of them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.expectation import Expectation
from bench.quantities import Dimension, QuantityError, parse_typed
from drivers.accuracy import Accuracy
from drivers.hand import typed_reading
from drivers.reading import Quantity, Reading

__all__ = ["SHAPES", "TypedProblem", "TypedReadings"]

SHAPES = "ohms:WINDING=OHMS, volts:WINDING=VOLTS@FED, amps=AMPS@FED, watts=WATTS@FED or stack=HEIGHT"
_FORM = re.compile(r"(?P<what>[a-z]+)(?::(?P<name>[^=]+))?=(?P<value>[^@]+)(?:@(?P<fed>.+))?")
_SQUARE = 1 / math.sqrt(12)
# A wattmeter at the low power factor of a core, as a share of its reading; common practice, no source.
_U_WATTS = 0.02


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
        """`ohms:heater=0.36 ohm`, `volts:heater=6.9 V@229.6 V`, `amps=180 mA@120 V`, `watts=1.9 W@120 V` or
        `stack=42 mm`.

        FED: the volts on the primary at the same moment.  Watts are the core's alone: take I2R off a wattmeter's.
        Raises TypedProblem.
        """
        said = _read(text)
        match said.what:
            case "ohms":
                name = self._span(said)
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
                return _step(f"exciting:{fed:g}", label, "current_ac", self._design.fed, "A", amps, expected, fed)
            case "watts":
                value, resolution = _typed(said.value, Dimension.POWER)
                fed = self._fed(said).value or 0.0
                watts = Estimate(value, {"wattmeter": math.hypot(_U_WATTS * value, resolution * _SQUARE)})
                curve = self._design.curve
                expected = None if curve is None else curve.watts_at(fed)
                return _step(
                    f"core_watts:{fed:g}",
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
                height = Estimate(value, {"rule": max(resolution * _SQUARE, 1e-4)})
                return _step(
                    "stack_height", "height of the stack", "stack_height", "", "m", height, self._design.stack, None
                )
        raise TypedProblem(f"{text!r}: {said.what!r} is no reading, expected {SHAPES}")

    def _turns(self, said: _Said) -> StepResult:
        """Turns by the volts of both: readings to one place of the digits share the meter's error of range."""
        name, design = self._span(said), self._design
        fed = self._fed(said)
        volts = Estimate.of(self._reading(said.value, Dimension.VOLTAGE, Quantity.VOLTAGE_AC))
        at = fed.value or 0.0
        turns = volts / Estimate.of(fed) * (abs(design.fed_span.turns) / (1 - design.drop(at)))
        turns = turns.also("leakage of the primary", design.leakage(at) / math.sqrt(3) * turns.value)
        expected = abs(design.spans[name].turns)
        return _step(f"turns:{name}", f"turns of {name} by volts", "turns_by_ratio", name, "turns", turns, expected, at)

    def _span(self, said: _Said) -> str:
        if said.name not in self._design.spans:
            known = ", ".join(self._design.spans)
            raise TypedProblem(f"{said.text!r}: no winding {said.name!r}, expected one of {known}")
        return said.name

    def _fed(self, said: _Said) -> Reading:
        if not said.fed:
            raise TypedProblem(f"{said.text!r}: the volts on the primary are missing, expected {said.text}@230 V")
        return self._reading(said.fed, Dimension.VOLTAGE, Quantity.VOLTAGE_AC)

    def _reading(self, text: str, dimension: Dimension, quantity: Quantity) -> Reading:
        value, resolution = _typed(text, dimension)
        self._taken += 1
        accuracy = self._accuracies.get(quantity, Accuracy(0.0))
        now = datetime.now(UTC)
        return typed_reading(
            value, resolution, quantity, accuracy, at=now, monotonic=float(self._taken), raw=text.strip()
        )


def _read(text: str) -> _Said:
    found = _FORM.fullmatch(text.strip())
    if found is None:
        raise TypedProblem(f"{text!r}: expected {SHAPES}")
    return _Said(
        text, found["what"], (found["name"] or "").strip(), found["value"].strip(), (found["fed"] or "").strip()
    )


def _typed(text: str, dimension: Dimension) -> tuple[float, float]:
    """Value and resolution [SI]."""
    try:
        found = parse_typed(text.strip(), dimension)
    except QuantityError as problem:
        raise TypedProblem(str(problem)) from None
    if not found.value > 0:
        raise TypedProblem(f"{text.strip()!r}: expected more than 0")
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

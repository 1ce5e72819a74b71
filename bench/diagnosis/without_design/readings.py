"""Readings that a person types for a unit without a design, as numbers beside what the unit was or should be."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

from bench.diagnosis.typed_form import FORM, OVER_RANGE, U_WATTS
from bench.diagnosis.without_design.known import Known
from bench.estimate import Estimate
from bench.quantities import Dimension, QuantityError, Typed, parse_typed
from drivers.accuracy import Accuracy
from drivers.hand import typed_reading
from drivers.reading import Quantity

__all__ = ["SHAPES", "Read", "ReadingProblem", "What", "read_all"]

SHAPES = "ohms:WINDING=OHMS (or OL), volts:WINDING=VOLTS@FED, amps=AMPS@FED or watts=WATTS@FED"
_ROUNDED = 1 / math.sqrt(12)


class ReadingProblem(ValueError):
    """A typed reading that can't be taken; the text says what was expected."""


class What(StrEnum):
    """The kinds of reading, by the word that is typed."""

    OHMS = "ohms"
    VOLTS = "volts"
    AMPS = "amps"
    WATTS = "watts"


_DIMENSIONS = {What.OHMS: Dimension.RESISTANCE, What.VOLTS: Dimension.VOLTAGE, What.AMPS: Dimension.CURRENT}
_QUANTITIES = {What.OHMS: Quantity.RESISTANCE, What.VOLTS: Quantity.VOLTAGE_AC, What.AMPS: Quantity.CURRENT_AC}


@dataclass(frozen=True)
class Read:
    """One reading.  winding: or section, the fed one for amps and watts;  value: SI, of volts the ratio to those fed;
    None for an ohmmeter over its range;  fed [V]: on the fed winding at that moment, 0 for ohms, and its u_log_fed;
    volts [V]: as they were typed, 0 too, where value is a ratio."""

    what: What
    winding: str
    value: Estimate | None
    fed: float = 0.0
    volts: float = 0.0
    u_log_fed: float = 0.0


def read_all(texts: tuple[str, ...], known: Known, accuracies: Mapping[Quantity, Accuracy]) -> tuple[Read, ...]:
    """Every text as a reading; of two of one thing the later stands.

    accuracies: of the meter, by quantity: what it lacks has the doubt of its last digit alone.  Raises ReadingProblem.
    """
    taken: dict[tuple[What, str, float], Read] = {}
    for number, text in enumerate(texts):
        one = _Reader(text, known, accuracies, number).read()
        taken[one.what, one.winding, 0.0 if one.what == What.VOLTS else one.fed] = one
    return tuple(taken.values())


class _Reader:
    def __init__(self, text: str, known: Known, accuracies: Mapping[Quantity, Accuracy], number: int) -> None:
        found = FORM.fullmatch(text.strip())
        if found is None:
            raise ReadingProblem(f"{text!r}: expected {SHAPES}")
        self._text, self._known, self._accuracies, self._number = text, known, accuracies, number
        self._what, self._value = found["what"], found["value"].strip()
        self._name, self._fed = (found["name"] or "").strip(), (found["fed"] or "").strip()

    def read(self) -> Read:
        match self._what:
            case What.OHMS:
                name = self._winding()
                if self._value.lower() in OVER_RANGE:
                    return Read(What.OHMS, name, None)
                return Read(What.OHMS, name, self._estimate(self._value, What.OHMS, 0.0))
            case What.VOLTS:
                return self._ratio()
            case What.AMPS:
                fed = self._fed_volts()
                amps = self._estimate(self._value, What.AMPS, 0.0)
                return Read(What.AMPS, self._known.shown.fed, amps, fed.value, u_log_fed=fed.relative)
            case What.WATTS:
                fed = self._fed_volts()
                typed = _typed(self._value, Dimension.POWER)
                u = math.hypot(U_WATTS * typed.value, typed.resolution * _ROUNDED)
                watts = Estimate(typed.value, {"wattmeter": u})
                return Read(What.WATTS, self._known.shown.fed, watts, fed.value, u_log_fed=fed.relative)
            case "stack":
                raise ReadingProblem(f"{self._text!r}: without a design no height of the stack is known, give {SHAPES}")
        raise ReadingProblem(f"{self._text!r}: {self._what!r} is no reading, expected {SHAPES}")

    def _ratio(self) -> Read:
        name, fed = self._winding(), self._fed_volts()
        if name == self._known.shown.fed:
            others = ", ".join(one for one in self._known.names if one != name)
            expected = f"one of {others}" if others else "another one, and the job names none"
            raise ReadingProblem(f"{self._text!r}: {name} is the winding that is fed, expected {expected}")
        # A winding that is dead reads 0.0 V: half of its last digit is the most that it may have.
        typed = _typed(self._value, Dimension.VOLTAGE, least=0.0)
        if typed.value == 0:
            volts = Estimate(typed.resolution / 2, {f"{name}:resolution": typed.resolution / 2})
        else:
            volts = self._estimate(self._value, What.VOLTS, 0.5)
        return Read(What.VOLTS, name, volts / fed, fed.value, typed.value)

    def _winding(self) -> str:
        if self._name not in self._known.names:
            known = ", ".join(self._known.names)
            raise ReadingProblem(f"{self._text!r}: no winding {self._name!r}, expected one of {known}")
        return self._name

    def _fed_volts(self) -> Estimate:
        if not self._fed:
            raise ReadingProblem(
                f"{self._text!r}: the volts on {self._known.shown.fed} are missing, expected {self._text}@120 V"
            )
        return self._estimate(self._fed, What.VOLTS, 0.0)

    def _estimate(self, text: str, what: What, at: float) -> Estimate:
        typed = _typed(text, _DIMENSIONS[what])
        quantity = _QUANTITIES[what]
        accuracy = self._accuracies.get(quantity, Accuracy(0.0))
        reading = typed_reading(
            typed.value, typed.resolution, quantity, accuracy, at=datetime.now(UTC), monotonic=self._number + at
        )
        return Estimate.of(reading)


def _typed(text: str, dimension: Dimension, least: float | None = None) -> Typed:
    try:
        found = parse_typed(text, dimension)
    except QuantityError as problem:
        raise ReadingProblem(str(problem)) from None
    if found.value < 0 or (found.value == 0 and least is None):
        raise ReadingProblem(f"{text!r}: expected more than 0")
    return found

"""Readings typed by a person: digits give the resolution, the bench file the accuracy."""

from __future__ import annotations

import math

import pytest

from bench.acceptance.instrument import HandInstrument
from bench.acceptance.requests import Connect, Enter, Take, Trouble
from drivers.accuracy import Accuracy
from drivers.reading import Quantity, Reading, State

_VOLTS = Accuracy(percent_of_reading=1.0, counts=3)
_PLACE = Connect("ratio:heater", Quantity.VOLTAGE_AC, "heater.start", "heater.finish", text="Voltmeter on heater.")


def _take(*typed: str, quantity: Quantity = Quantity.VOLTAGE_AC, lead: float = 0.0) -> tuple[Reading, list[Enter]]:
    answers, asked = iter(typed), []

    def ask(request: Enter) -> str:
        asked.append(request)
        return next(answers)

    accuracies = {Quantity.VOLTAGE_AC: _VOLTS, Quantity.RESISTANCE: _VOLTS, Quantity.CURRENT_AC: _VOLTS}
    return HandInstrument(ask, accuracies, lead_resistance=lead).take(Take("s", quantity, None), _PLACE), asked


@pytest.mark.parametrize(("text", "value"), [("6.31", 6.31), ("6,31 V", 6.31), ("6310 mV", 6.31)])
def test_a_bare_number_is_taken_in_the_unit_asked_for(text: str, value: float) -> None:
    assert _take(text)[0].value == pytest.approx(value)


def test_accuracy_and_digits_become_components() -> None:
    reading, _ = _take("120.0")
    # Bell, Electronic Instrumentation and Measurements, Ex 6-2, has the same sum: percent of reading plus counts.
    assert reading.standard_uncertainty == pytest.approx(
        math.sqrt((1.2 / 3**0.5) ** 2 + (0.3 / 3**0.5) ** 2 + (0.05 / 3**0.5) ** 2), rel=1e-6
    )


@pytest.mark.parametrize("text", ["OL", "ol", "O.L", " OL ", "1."])
def test_overload_is_a_state(text: str) -> None:
    assert _take(text)[0].state is State.OVERLOAD


def test_rubbish_is_asked_again_with_what_was_expected() -> None:
    reading, asked = _take("6.3 ohm", "6.3")
    assert reading.value == pytest.approx(6.3)
    assert "expected a voltage" in asked[1].text


def test_a_sign_that_alternating_volts_cannot_have_is_asked_again() -> None:
    reading, asked = _take("-6.3", "6.3")
    assert reading.value == pytest.approx(6.3)
    assert "expected 0 or more" in asked[1].text


def test_only_rubbish_is_trouble() -> None:
    with pytest.raises(Trouble, match="no readable value"):
        _take(*["?"] * 5)


def test_a_bare_current_is_taken_in_milliamps_as_the_prompt_says() -> None:
    reading, asked = _take("35.2", quantity=Quantity.CURRENT_AC)
    assert asked[0].unit == "mA"
    assert reading.value == pytest.approx(0.0352)


def test_lead_resistance_of_the_bench_file_is_taken_off() -> None:
    assert _take("1.5", quantity=Quantity.RESISTANCE, lead=0.3)[0].value == pytest.approx(1.2)

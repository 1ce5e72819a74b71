"""Several meters at once: each reading by the one that was named for it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from bench.acceptance.instrument import MeterInstrument
from bench.acceptance.meters_by_role import MetersByRole
from bench.acceptance.requests import Connect, Take, Trouble
from drivers.meter import Meter
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity
from tests.drivers.clocks import VirtualClock
from tests.drivers.fake_meter import FakeMeter
from tests.drivers.virtual_link import VirtualLink

V, A, R = Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE


def meter(name: str, shows: float) -> MeterInstrument:
    clock, fake = VirtualClock(), FakeMeter()
    fake.value = shows
    opened = Meter(
        VirtualLink(fake, clock),
        load_meter_profile("scpi"),
        name,
        clock=clock,
        sleep=clock.sleep,
        utcnow=lambda: datetime(2026, 1, 2, tzinfo=UTC),
    )
    opened.open()
    return MeterInstrument(opened, clock=clock)


def taken(meters: MetersByRole, quantity: Quantity, expected: float) -> tuple[str, Any]:
    reading = meters.take(Take("s", quantity, expected), Connect("s", quantity, "a", "b"))
    return reading.instrument, reading.value


def test_each_quantity_is_read_by_the_meter_of_its_role_and_the_rest_by_the_one_without() -> None:
    meters = MetersByRole({"volts": meter("one", 230.0), "amps": meter("two", 0.05), "": meter("three", 16.3)})
    assert meters.at_once
    assert taken(meters, V, 240.0) == ("one", pytest.approx(230.0))
    assert taken(meters, A, 0.1) == ("two", pytest.approx(0.05))
    assert taken(meters, R, 20.0) == ("three", pytest.approx(16.3))


def test_without_a_meter_for_it_a_quantity_is_not_offered_and_not_taken() -> None:
    meters = MetersByRole({"volts": meter("one", 230.0), "amps": meter("two", 0.05)})
    assert not meters.quantities & {R, Quantity.RESISTANCE_4W}
    with pytest.raises(Trouble, match="no meter here reads resistance"):
        taken(meters, R, 20.0)


def test_one_meter_for_volts_that_does_the_rest_too_is_not_two_at_once() -> None:
    assert not MetersByRole({"": meter("one", 230.0)}).at_once
    assert MetersByRole({"volts": meter("one", 1.0), "": meter("two", 1.0)}).at_once


def test_an_unknown_role_is_refused() -> None:
    with pytest.raises(ValueError, match="'watts' is no role of a meter, expected one of volts, amps, ohms"):
        MetersByRole({"watts": meter("one", 1.0)})

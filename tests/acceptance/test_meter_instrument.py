"""A meter on a line as an instrument: watched until it stands still, then read, with what it scattered."""

from __future__ import annotations

import random
from datetime import UTC, datetime

import pytest

from bench.acceptance.instrument import MeterInstrument
from bench.acceptance.requests import Connect, Due, Take, Trouble
from drivers.meter import Meter
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity, Reading, State
from tests.drivers.clocks import VirtualClock
from tests.drivers.fake_meter import FakeMeter
from tests.drivers.virtual_link import VirtualLink

V, R = Quantity.VOLTAGE_AC, Quantity.RESISTANCE


class Desk:
    """A fake meter behind an instrument; what was shown while it settled."""

    def __init__(self) -> None:
        self.clock, self.fake = VirtualClock(), FakeMeter()
        meter = Meter(
            VirtualLink(self.fake, self.clock),
            load_meter_profile("scpi"),
            "scpi@desk",
            clock=self.clock,
            sleep=self.clock.sleep,
            utcnow=lambda: datetime(2026, 1, 2, tzinfo=UTC),
        )
        meter.open()
        self.instrument = MeterInstrument(meter, clock=self.clock)
        self.shown: list[tuple[float | None, str]] = []

    def take(self, quantity: Quantity, expected: float | None, due: Due | None = None) -> Reading:
        return self.instrument.take(
            Take("s", quantity, expected, 2, due),
            Connect("s", quantity, "a", "b"),
            live_volts=10.0,
            seen=lambda value, words: self.shown.append((value, words)),
        )


def sources(reading: Reading) -> set[str]:
    return {component.source.rpartition(":")[2] for component in reading.components}


def test_a_steady_value_is_taken_with_the_meter_s_own_doubt_alone() -> None:
    desk = Desk()
    reading = desk.take(V, 6.6)
    assert reading.value == pytest.approx(6.3)
    assert sources(reading) == {"gain", "offset", "resolution", "noise"}
    assert [words for _, words in desk.shown] == ["settling", "settling", "settled"]


def test_what_a_restless_supply_scatters_is_a_part_of_the_doubt() -> None:
    desk = Desk()
    rng = random.Random(2)
    desk.fake.values.extend(6.3 + rng.gauss(0.0, 0.01) for _ in range(60))
    reading = desk.take(V, 6.6)
    assert reading.standard_uncertainty > 0.004


def test_over_range_that_stays_is_a_state_and_told_as_a_break() -> None:
    desk = Desk()
    desk.fake.value = 1e5
    reading = desk.take(R, 20.0, Due(16.3, 8.0, 33.0))
    assert reading.state is State.OVERLOAD
    assert desk.shown[-1][0] is None
    assert desk.shown[-1][1].startswith("taken as it is: open, no current passes (16.3 ohm due)")


def test_trouble_of_the_line_while_it_is_watched_is_the_step_s_trouble() -> None:
    desk = Desk()
    desk.fake.faults.extend([[], [], []])
    with pytest.raises(Trouble, match=r"s: .*READ"):
        desk.take(V, 6.6)


def test_what_a_coarse_range_scattered_by_is_no_doubt_of_the_fine_range_that_it_is_read_on() -> None:
    desk = Desk()
    rng = random.Random(3)
    coarse = [3.0 + rng.gauss(0.0, 20.0) for _ in range(3)]  # of the largest range, which it is watched on at first
    desk.fake.values.extend(coarse)
    desk.fake.value = 3.4
    reading = desk.take(R, None)
    assert reading.value == pytest.approx(3.4)
    assert "scatter" not in sources(reading)

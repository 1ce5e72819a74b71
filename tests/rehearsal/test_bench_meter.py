"""The bench meter, byte for byte, without a port."""

from __future__ import annotations

import pytest

from bench.job.model import Job
from bench.rehearsal.meter_errors import Function, MeterErrors
from bench.rehearsal.meter_server import MeterServer
from bench.rehearsal.probe import Probe
from bench.rehearsal.wiring import Connection, Quantity
from bench.rehearsal.workbench import Workbench
from tests.rehearsal.benches import feed, nominal_bench


@pytest.fixture
def bench(coastal: Job) -> Workbench:
    return nominal_bench(coastal)


@pytest.fixture
def meter(bench: Workbench) -> MeterServer:
    return MeterServer(Probe(bench, 1), MeterErrors(1))


def _say(meter: MeterServer, text: str, now: float = 100.0) -> str:
    """What the meter answers within five seconds."""
    meter.feed(text.encode() + b"\n")
    return (meter.poll(now) + meter.poll(now + 5.0)).decode()


def _voltmeter(bench: Workbench, winding: str) -> None:
    bench.connect(Connection(Quantity.VOLTAGE_AC, f"{winding}.start", f"{winding}.finish"), (), 0.0)


def test_identity_has_four_fields(meter: MeterServer) -> None:
    assert _say(meter, "*IDN?") == "Rehearsal,BENCH METER,R00001,1.0\n"


def test_commands_are_taken_in_any_form_and_piecewise(meter: MeterServer) -> None:
    assert _say(meter, ":CONFigure:VOLTage:AC 9.5\r") == ""
    meter.feed(b"CO")
    assert meter.poll(100.0) == b""
    assert _say(meter, "NF?") == '"VOLT:AC 1.000000E+01"\n'


def test_errors_queue_up_in_order(meter: MeterServer) -> None:
    _say(meter, "FOO 1")
    _say(meter, "CONF:VOLT:AC 2000")
    _say(meter, "CONF:VOLT:AC ten")
    assert _say(meter, "SYST:ERR?;SYST:ERR?;SYST:ERR?;SYST:ERR?").splitlines() == [
        '-113,"Undefined header"',
        '-222,"Data out of range"',
        '-224,"Illegal parameter value"',
        '+0,"No error"',
    ]


def test_a_flood_of_errors_is_bounded_and_says_so(meter: MeterServer) -> None:
    _say(meter, ";".join(["FOO"] * 50))
    errors = _say(meter, ";".join(["SYST:ERR?"] * 21)).splitlines()
    assert errors[19:] == ['-350,"Queue overflow"', '+0,"No error"']


def test_clear_empties_the_queue(meter: MeterServer) -> None:
    _say(meter, "FOO")
    assert _say(meter, "*CLS;SYST:ERR?") == '+0,"No error"\n'


def test_a_message_without_end_is_cut_off(meter: MeterServer) -> None:
    meter.feed(b"A" * 5000)
    meter.feed(b"\n")
    assert _say(meter, "SYST:ERR?") == '-223,"Too much data"\n'


def test_a_reading_is_within_the_class(meter: MeterServer, bench: Workbench) -> None:
    feed(bench, 230.0)
    _voltmeter(bench, "heater")
    value = float(_say(meter, "CONF:VOLT:AC 10;READ?"))
    assert value == pytest.approx(bench.voltage("heater.start", "heater.finish", 100.0), abs=10 * 1.5e-4 + 0.0005 * 7)


def test_a_first_reading_after_a_change_has_not_settled(meter: MeterServer, bench: Workbench) -> None:
    feed(bench, 230.0)
    _voltmeter(bench, "heater")
    _say(meter, "CONF:VOLT:AC 10")
    bench.connect(Connection(Quantity.VOLTAGE_AC, "rectifier.start", "rectifier.finish"), (), 200.0)
    meter.feed(b"READ?\n")
    assert meter.poll(200.0) == b""
    early = float(meter.poll(200.09))
    late = float(_say(meter, "READ?", 203.0))
    assert late == pytest.approx(5.2, rel=0.01)
    assert early < 0.9 * late


def test_what_passes_the_range_is_overload(meter: MeterServer, bench: Workbench) -> None:
    feed(bench, 230.0)
    _voltmeter(bench, "heater")
    assert _say(meter, "CONF:VOLT:AC 1;READ?") == "+9.90000000E+37\n"


def test_ohms_without_a_path_are_overload(meter: MeterServer, bench: Workbench) -> None:
    bench.connect(Connection(Quantity.RESISTANCE, "primary.start", "ht.start"), (), 0.0)
    assert _say(meter, "CONF:RES 10E6;READ?") == "+9.90000000E+37\n"


def test_two_leads_add_their_own_resistance_and_four_do_not(coastal: Job) -> None:
    from dataclasses import replace

    from bench.rehearsal.variation import nominal_variation

    bench = Workbench(coastal, replace(nominal_variation(), meter_leads=0.25))
    meter = MeterServer(Probe(bench, 1), MeterErrors(1))
    bench.connect(Connection(Quantity.RESISTANCE_4W, "heater.start", "heater.finish"), (), 0.0)
    two = float(_say(meter, "CONF:RES 10;READ?"))
    four = float(_say(meter, "CONF:FRES 10;READ?"))
    assert two - four == pytest.approx(0.25, abs=0.01)
    assert four == pytest.approx(0.060, abs=0.002)


def test_open_leads_read_next_to_nothing(meter: MeterServer) -> None:
    assert abs(float(_say(meter, "CONF:VOLT:AC 10;READ?"))) < 0.01
    assert _say(meter, "CONF:RES 100;READ?") == "+9.90000000E+37\n"


def test_frequency_is_that_of_the_supply(meter: MeterServer, bench: Workbench) -> None:
    _voltmeter(bench, "heater")
    feed(bench, 230.0)
    assert float(_say(meter, "CONF:FREQ;READ?")) == pytest.approx(50.0, rel=1e-4)


def test_gain_is_shared_within_a_range_and_differs_between_ranges() -> None:
    errors = MeterErrors(5)
    assert errors.gain(Function.VOLT_AC, 10.0) == MeterErrors(5).gain(Function.VOLT_AC, 10.0)
    assert errors.gain(Function.VOLT_AC, 10.0) != errors.gain(Function.VOLT_AC, 100.0)


def test_gain_stays_within_the_class() -> None:
    gains = [MeterErrors(seed).gain(Function.VOLT_AC, 10.0) - 1 for seed in range(200)]
    assert max(map(abs, gains)) <= 0.0005
    assert max(map(abs, gains)) > 0.0003

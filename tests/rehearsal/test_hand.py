"""The hand: what it does when asked, what it types, how it errs."""

from __future__ import annotations

import json
from typing import Any

import pytest

from bench.job.model import Job
from bench.rehearsal.control import Control, Plugs
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.hand import Hand
from bench.rehearsal.probe import Probe
from bench.rehearsal.spindle import Spindle
from bench.rehearsal.variation import draw_variation
from bench.rehearsal.workbench import Workbench

FED = {"ask": "excite", "from": "primary.start", "to": "primary.finish", "volts": "230 V", "hertz": "50 Hz"}
OHMS = {"ask": "connect", "quantity": "resistance", "from": "heater.start", "to": "heater.finish"}


class Desk:
    """A hand behind its control lines, at a bench time that stands still."""

    def __init__(self, job: Job, seed: int, *faults: str) -> None:
        parsed = tuple(parse_fault(text, job) for text in faults)
        self.bench = Workbench(job, draw_variation(job, seed), parsed)
        probe = Probe(self.bench, seed)
        spindle = Spindle()
        self.spindle = spindle
        plugs = Plugs(lambda name, seconds: None, lambda kelvin: None, dict, lambda: None)
        hand = Hand(job, self.bench, probe, parsed, seed)
        self.control = Control(hand, spindle, CounterBoard(spindle), plugs, seed)

    def ask(self, ask: dict[str, Any], now: float = 50.0) -> dict[str, Any]:
        answer: dict[str, Any] = json.loads(self.control.feed(0, json.dumps({"id": 7, **ask}).encode() + b"\n", now))
        assert answer.pop("id") == 7
        return answer


@pytest.fixture
def desk(coastal: Job) -> Desk:
    return Desk(coastal, 2)


def _enter(**keys: Any) -> dict[str, Any]:
    return {"ask": "enter", **keys}


def _leads(winding: str) -> dict[str, str]:
    return {"from": f"{winding}.start", "to": f"{winding}.finish"}


def test_the_dial_is_set_roughly(desk: Desk) -> None:
    assert desk.ask(FED) == {"done": True}
    assert desk.bench.voltage("supply.live", "supply.neutral", 50.0) == pytest.approx(230, rel=0.08)
    assert desk.ask({"ask": "excite", "volts": "0 V"}) == {"done": True}
    assert not desk.bench.energised


def test_links_stay_until_the_next_connection(desk: Desk) -> None:
    desk.ask({**OHMS, "links": [["primary.finish", "ht.start"]]})
    assert desk.bench.wiring.links == (("primary.finish", "ht.start"),)
    desk.ask(OHMS)
    assert desk.bench.wiring.links == ()


def test_a_hand_held_meter_shows_three_and_a_half_digits(desk: Desk) -> None:
    desk.ask(FED)
    typed = desk.ask(_enter(quantity="voltage_ac", **_leads("heater")))["value"]
    number, unit = typed.split()
    assert unit == "V"
    assert len(number.split(".")[1]) == 2
    assert float(number) == pytest.approx(desk.bench.voltage("heater.start", "heater.finish", 50.0), rel=0.01)


def test_a_hand_held_meter_says_ol_where_there_is_no_path(desk: Desk) -> None:
    typed = desk.ask(_enter(quantity="resistance", **{"from": "primary.start", "to": "ht.start"}))
    assert typed == {"value": "OL"}


def test_the_exciting_current_is_typed_in_milliamperes(desk: Desk) -> None:
    desk.ask(FED)
    typed = desk.ask(_enter(quantity="current_ac", **{"from": "supply.live", "to": "primary.start"}))["value"]
    assert typed.endswith(" mA")
    assert float(typed.split()[0]) * 1e-3 == pytest.approx(desk.bench.current(50.0), rel=0.01)


def test_other_things_are_read_off_where_they_stand(desk: Desk) -> None:
    assert desk.ask(_enter(quantity="stack_height")) == {"value": "45 mm"}
    celsius, unit = desk.ask(_enter(quantity="temperature"))["value"].split()
    assert unit == "degC"
    assert 18 <= float(celsius) <= 25


def test_a_short_stack_measures_short(coastal: Job) -> None:
    assert Desk(coastal, 1, "core_stack_short").ask(_enter(quantity="stack_height")) == {"value": "40.5 mm"}


@pytest.mark.parametrize("between", [["primary", "ht"], ["ht", "primary"], ["primary", "rest"], ["rest", "ht"]])
def test_low_insulation_shows_between_its_pair_and_against_the_rest(coastal: Job, between: list[str]) -> None:
    typed = Desk(coastal, 3, "insulation_low").ask(_enter(quantity="insulation_resistance", between=between))["value"]
    number, unit = typed.split()
    assert unit == "Mohm"
    assert float(number) == pytest.approx(0.5, rel=0.06)


@pytest.mark.parametrize("between", [["heater", "core"], ["screen", "rest"], ["heater", "rest"]])
def test_sound_insulation_is_hundreds_of_megohms(coastal: Job, between: list[str]) -> None:
    typed = Desk(coastal, 3, "insulation_low").ask(_enter(quantity="insulation_resistance", between=between))["value"]
    assert 250 <= float(typed.split()[0]) <= 2200


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        ({"ask": "dance"}, "expected one of connect, excite"),
        ({"ask": "connect", "quantity": "mass"}, "expected one of voltage_ac"),
        ({**OHMS, "to": "heatr.finish"}, "'heatr.finish' is not on this bench"),
        ({**OHMS, "links": [["ht.start"]]}, "expected a pair of terminals"),
        ({**FED, "volts": "230"}, "has no unit"),
        ({**FED, "volts": "-5 V"}, "expected 0 to 290 V"),
        ({**FED, "volts": "400 V"}, "expected 0 to 290 V"),
        ({**FED, "source": "battery"}, "expected one of low voltage, variac"),
        ({**FED, "limiter": "yes"}, "expected true or false"),
        ({**FED, "series": "0 ohm"}, "expected more than 0 ohm"),
        ({"ask": "load", "winding": "heatr", "ohms": "2 ohm"}, "is not on this bench"),
        (_enter(quantity="colour"), "can't be entered here"),
        (_enter(quantity="insulation_resistance", between=["ht"]), "expected two"),
        (_enter(quantity="insulation_resistance", between=["ht", "door"]), "'door' is not in the job"),
        ({"ask": "spindle"}, "expected winding_turns, to, by, wait or stop"),
        ({"ask": "spindle", "by": 3, "rpm": "fast"}, "expected a number"),
        ({"ask": "unplug", "port": "wall"}, "expected counter or meter"),
        ({"ask": "drop", "lines": 1.5}, "expected a whole number"),
    ],
)
def test_what_cannot_be_done_is_answered_in_one_line(desk: Desk, ask: dict[str, Any], words: str) -> None:
    error = desk.ask(ask)["error"]
    assert words in error
    assert "\n" not in error


@pytest.mark.parametrize("line", [b"nonsense\n", b"[1]\n", b"\xff\xfe\n", b'{"id":1\n'])
def test_a_line_that_is_no_object_is_answered_too(desk: Desk, line: bytes) -> None:
    assert json.loads(desk.control.feed(0, line, 0.0))["error"] == "not a JSON object on one line"


def test_waiting_for_the_spindle_is_answered_when_it_stands(desk: Desk) -> None:
    desk.ask({"ask": "spindle", "by": 10, "rpm": 300}, now=0.0)
    assert desk.control.feed(0, b'{"id": 9, "ask": "spindle", "wait": true}\n', 0.1) == b""
    assert desk.control.poll(1.0) == []
    ((client, line),) = desk.control.poll(20.0)
    assert (client, json.loads(line)) == (0, {"id": 9, "done": True})


def _ohms_twice(job: Job, seed: int) -> tuple[float, float]:
    desk = Desk(job, seed, "reading_wrong:heater")
    desk.ask(OHMS)
    first = desk.bench.wiring.connection
    desk.ask(OHMS)
    second = desk.bench.wiring.connection
    assert first is not None
    assert second is not None
    return desk.bench.resistance(first.begin, first.end), desk.bench.resistance(second.begin, second.end)


def _ratio(job: Job, seed: int) -> float:
    desk = Desk(job, seed, "reading_wrong:heater")
    desk.ask({"ask": "connect", "quantity": "voltage_ac", **_leads("heater")})
    desk.ask({**FED, "volts": "10 V", "source": "low voltage"})
    connection = desk.bench.wiring.connection
    assert connection is not None
    return desk.bench.voltage(connection.begin, connection.end, 50.0) / desk.bench.voltage(
        "primary.start", "primary.finish", 50.0
    )


def test_a_wrong_reading_shows_either_once_in_ohms_or_always_in_the_ratio(coastal: Job) -> None:
    ohms = [_ohms_twice(coastal, seed) for seed in range(12)]
    ratios = [_ratio(coastal, seed) for seed in range(12)]
    by_ohms = [abs(first / second - 1) > 0.2 for first, second in ohms]
    by_ratio = [abs(ratio / (19 / 662) - 1) > 0.2 for ratio in ratios]
    assert [a != b for a, b in zip(by_ohms, by_ratio, strict=True)] == [True] * 12
    assert 0 < sum(by_ohms) < 12
    assert all(0.05 < second < 0.07 for _, second in ohms)


def test_a_typed_reading_may_slip_its_decimal_point_once(coastal: Job) -> None:
    desk = Desk(coastal, 1, "reading_wrong:heater")
    desk.ask(FED)
    ask = _enter(quantity="voltage_ac", **_leads("heater"))
    first, second = (float(desk.ask(ask)["value"].split()[0]) for _ in range(2))
    assert first == pytest.approx(second / 10)

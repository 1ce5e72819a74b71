"""The meter's protocol against SCPI-99 and IEEE 488.2; published checks, numbered by us, the source beside each."""

from __future__ import annotations

import pytest

from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.rehearsal.meter_errors import MeterErrors
from bench.rehearsal.meter_server import MeterServer
from bench.rehearsal.probe import Probe
from drivers.lines import LineAssembler
from drivers.profile_files import load_meter_profile
from drivers.scpi import AnswerForms, DeviceError, NoValue, Overload, classify, parse_error, parse_number
from drivers.scpi_errors import STANDARD_TEXTS, ErrorClass, error_class, whose_fault
from tests.rehearsal.benches import nominal_bench


def rehearsal_meter() -> MeterServer:
    """Our own simulated meter, which has to speak the standard too."""
    return MeterServer(Probe(nominal_bench(read_job(example_job("coastal-receiver"))), 1), MeterErrors(1))


def answers(meter: MeterServer, *messages: str) -> list[str]:
    meter.feed("".join(message + "\n" for message in messages).encode())
    return (meter.poll(100.0) + meter.poll(105.0)).decode().splitlines()


# 7.1: SCPI-99 7.2.1.4 (also in two makers' guides): infinity is 9.9E37, minus infinity -9.9E37. One manual swaps the
# two signs, so the sign tells nothing.
@pytest.mark.parametrize("text", ["9.9E37", "-9.9E37", "+9.90000000E+37", "9.9e+37"])
def test_infinity_is_over_range(text: str) -> None:
    assert classify(text.encode(), AnswerForms()) == Overload()


# 7.2: SCPI-99 7.2.1.5 (also in two makers' guides): not a number is 9.91E37, a thousandth beside infinity. A float of
# four bytes writes it as 9.9099998E37.
@pytest.mark.parametrize("text", ["9.91E37", "+9.91000000E+37", "9.9099998E37"])
def test_not_a_number_is_no_value(text: str) -> None:
    assert classify(text.encode(), AnswerForms()) == NoValue()


# 7.3: IEEE 488.2 10.14 and SCPI-99 4.1.3.6, quoted at docs.rs/scpi 0.4.3, IdnCommand: four fields with commas between:
# maker, model, serial, firmware; the model's field is not to hold the word MODEL. Real meters send three to five, and
# a blank after a comma: the profile takes those too, and no fewer.
# 7.4: IEEE 488.2 10.14.3, from memory: "0" for a serial or a firmware that there is none of; 72 characters at most.
@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("MAKER,M1,0042,1.0", True),
        ("MAKER,M1,0,0", True),
        ("M" * 33 + ",M1,0," + "1" * 33, True),
        ("MAKER, M1, 0042", True),
        ("MAKER,M1,0042,1.0,x", True),
        ("MAKER,M1", False),
        ("MAKER", False),
        (",M1,0042,1.0", False),
        ("MAKER,M1,0042,1.0,x,y", False),
    ],
)
def test_an_identity_has_its_fields(text: str, is_one: bool) -> None:
    assert (load_meter_profile("scpi").identity_pattern.fullmatch(text) is not None) == is_one


def test_the_simulated_meter_names_itself_as_the_standard_has_it() -> None:
    # 7.3 and 7.4 again, for what we send.
    (identity,) = answers(rehearsal_meter(), "*IDN?")
    fields = identity.split(",")
    assert len(fields) == 4
    assert all(fields)
    assert "MODEL" not in fields[1].upper()
    assert len(identity) <= 72


# 7.5: SCPI-99 21.8; public driver tests have it both ways.
@pytest.mark.parametrize("line", [b'0,"No error"', b'+0,"No error"'])
def test_an_empty_queue_is_no_error(line: bytes) -> None:
    found = parse_error(line)
    assert found == DeviceError(0, "No error")
    assert found.kind is ErrorClass.NONE


# SCPI-99, volume 2, 21.8.9 to 21.8.12, by way of libscpi/inc/scpi/error.h of the open library scpi-parser (BSD).
TEXTS = {
    "7.6": {
        -100: "Command error",
        -101: "Invalid character",
        -102: "Syntax error",
        -104: "Data type error",
        -108: "Parameter not allowed",
        -109: "Missing parameter",
    },
    "7.7": {
        -112: "Program mnemonic too long",
        -113: "Undefined header",
        -131: "Invalid suffix",
        -138: "Suffix not allowed",
        -151: "Invalid string data",
    },
    "7.8": {
        -200: "Execution error",
        -220: "Parameter error",
        -221: "Settings conflict",
        -222: "Data out of range",
        -224: "Illegal parameter value",
        -230: "Data corrupt or stale",
        -240: "Hardware error",
        -241: "Hardware missing",
    },
    "7.9": {
        -310: "System error",
        -350: "Queue overflow",
        -363: "Input buffer overrun",
        -365: "Time out error",
    },
    "7.10": {
        -400: "Query error",
        -410: "Query INTERRUPTED",
        -420: "Query UNTERMINATED",
        -430: "Query DEADLOCKED",
        -440: "Query UNTERMINATED after indefinite response",
    },
}


@pytest.mark.parametrize(("code", "text"), [case for texts in TEXTS.values() for case in texts.items()])
def test_each_error_is_read_as_it_stands_and_has_its_text_without_one(code: int, text: str) -> None:
    assert parse_error(f'{code},"{text}"'.encode()) == DeviceError(code, text)
    told = parse_error(f'{code},"{text};READ? 12,3"'.encode())
    assert told == DeviceError(code, f"{text};READ? 12,3")
    silent = parse_error(f'{code},""'.encode())
    assert silent is not None
    assert str(silent) == f"{code} {text}"


# 7.11: cnblogs.com/ybqjymy/p/13385279, and a maker's help page on SCPI errors: -1xx command (bit 5 of the event status
# register), -2xx execution (bit 4), -3xx device (bit 3), -4xx query (bit 2). The register itself is not read.
@pytest.mark.parametrize(
    ("codes", "kind"),
    [
        ((-100, -113, -199), ErrorClass.COMMAND),
        ((-200, -222, -299), ErrorClass.EXECUTION),
        ((-300, -350, -399), ErrorClass.DEVICE),
        ((-400, -440, -499), ErrorClass.QUERY),
        ((-500, -800), ErrorClass.NOTICE),
        ((702, 1, -1, -99, -900, -1100), ErrorClass.OWN),
    ],
)
def test_the_class_of_an_error_follows_from_its_number(codes: tuple[int, ...], kind: ErrorClass) -> None:
    assert {error_class(code) for code in codes} == {kind}


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (-113, "the profile is for another dialect"),
        (-222, "can't obey it as it stands"),
        (-330, "inside the meter"),
        (-350, "the first one in it counts"),
        (-361, "rate, data bits, parity"),
        (-363, "flow control"),
        (-410, "out of step"),
        (702, "the meter's manual"),
    ],
)
def test_an_error_says_where_to_look(code: int, words: str) -> None:
    assert words in whose_fault(code)


def test_the_simulated_meter_sends_the_standard_s_texts() -> None:
    wrong = ("CONF:VLT 1", "CONF:VOLT:AC x", "CONF:VOLT:AC 1e6", "?!")
    meter = rehearsal_meter()
    found = [parse_error(line.encode()) for line in answers(meter, *wrong, *["SYST:ERR?"] * 5)]
    assert [one and one.code for one in found] == [-113, -224, -222, -102, 0]
    for one in found:
        assert one is not None
        assert one.text == STANDARD_TEXTS[one.code]


# 7.13: a maker's programming guide, p3-17, after IEEE 488.2 8.7.2 to 8.7.4: NR1 without a point, NR2 with one, NR3 with
# one and an exponent; 17, 17 and 22 characters at most in that guide.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("+1234567890123456", 1234567890123456.0),
        ("-0.12345678901234", -0.12345678901234),
        ("+1.234567890123456E+02", 123.4567890123456),
    ],
)
def test_the_longest_numbers_of_each_form_are_read(text: str, value: float) -> None:
    assert len(text) == (22 if "E" in text else 17)
    assert parse_number(text) == value


def test_a_line_ends_with_a_new_line_and_takes_a_carriage_return_with_it() -> None:
    # 7.14: IEEE 488.2 7.5 and 8.5, from memory: an answer ends with NL; CR NL is met everywhere.
    profile = load_meter_profile("scpi")
    assert profile.terminator_sent == b"\n"
    assert LineAssembler(profile.terminator_received).feed(b"1\n2\r\n3") == [b"1", b"2"]

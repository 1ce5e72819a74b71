"""Unknown meters are met by questions that only tell; in virtual time, through simulated serial interfaces."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drivers.finding_dialect import TOTAL_S, DialectSearch
from drivers.first_profile import first_profile
from drivers.frames import FRAMES, frame_from
from drivers.harmless import harmless
from drivers.heard import read_back, shifted_frame
from drivers.line_settings import LineSettings, Parity
from drivers.meeting import meet
from drivers.met import Met, NotMet, Why
from drivers.meter_profile import MeterProfile
from drivers.meter_profile_tables import meter_profile_from
from drivers.nearest_profile import nearest
from drivers.profile_files import load_meter_profile, meter_profile_table, profile_names
from drivers.reading import Quantity

from .clocks import VirtualClock
from .other_speakers import HandHeld, Numbered, WordsPrompt
from .scpi_speakers import ConfRead, Displayed, FuncQuoted, InitFetch, MeasOnly, MilliOhm
from .speaker import Speaker
from .uart import heard
from .unknown_meter import PLAIN, TunedLine, UnknownMeter

KNOWN = [load_meter_profile(name) for name in profile_names("meters")]
LONGEST_S = 7.0  # of one question, at 1200 bit/s and with the most patience
NO_IDENTITY = {"FUNC1?": "02", "VAL1?": " 5.0032 VAC"}


@dataclass
class SpeakerMeter(UnknownMeter):
    """A meter of the dialect tests, in a frame."""

    speaker: Speaker = field(default_factory=ConfRead)

    def hear(self, data: bytes) -> bytes:
        *messages, self._rest = (self._rest + data).split(self.speaker.hears)
        return b"".join(self.speaker.hear(bytes(each & 0x7F for each in message)) for message in messages)


def met_with(meter: UnknownMeter) -> tuple[Met | NotMet, TunedLine, float]:
    """What was learnt, the line, and the seconds that it took."""
    clock = VirtualClock()
    line = TunedLine(meter, clock)
    begun = clock.now
    found = meet(line, DialectSearch(begun, known=KNOWN), clock=clock)
    return found, line, clock.now - begun


def met(meter: UnknownMeter) -> Met:
    found, _, took = met_with(meter)
    assert isinstance(found, Met), found
    assert took < TOTAL_S
    return found


def not_met(meter: UnknownMeter) -> NotMet:
    found, _, took = met_with(meter)
    assert isinstance(found, NotMet), found
    assert took < TOTAL_S
    return found


# -- what is learnt --------------------------------------------------------------------------------------


def test_a_plain_meter_is_met_within_twenty_seconds_with_all_its_habits():
    found, _, took = met_with(UnknownMeter())
    assert isinstance(found, Met)
    assert took < 20.0
    assert (str(found.frame), found.obeyed, found.received) == ("9600 8N1", (b"\n", b"\r", b"\r\n"), b"\r\n")
    assert (found.identity, len(found.identity_fields), found.serial_field) == (PLAIN["*IDN?"], 4, 3)
    assert (found.error_query, found.no_error) == ("SYST:ERR?", '+0,"No error"')
    assert found.first_error == '-113,"Undefined header"'
    assert (found.echo, found.prompts, found.acknowledges, found.stream) == (False, (), (), ())
    assert found.answers["CONF?"] == PLAIN["CONF?"]
    assert {"FUNC?", "CURR:AC:RANG?"} <= set(found.unanswered)


@pytest.mark.parametrize("frame", ["4800 7E1", "1200 7O1", "230400 8N1", "2400 8N2", "57600 8N1"])
def test_every_frame_is_found(frame):
    assert met(UnknownMeter(frame=frame_from(frame))).identity == PLAIN["*IDN?"]


def test_the_frame_found_is_the_meters():
    assert str(met(UnknownMeter(frame=frame_from("4800 7E1"))).frame) == "4800 7E1"
    assert str(met(UnknownMeter(frame=frame_from("19200 7O1"))).frame) == "19200 7O1"


def test_echo_and_prompts_are_told_apart_although_wrong_frames_filled_the_meters_input():
    meter = UnknownMeter(
        frame=frame_from("19200 8N1"), echo=True, prompt=b"=>\r\n", error_prompt=b"?>\r\n", error_queue=""
    )
    found = met(meter)
    assert (found.echo, found.prompts, found.prompt_ends_line) == (True, ("=>", "?>"), True)
    assert (found.identity, found.error_query, found.unknown_header) == (PLAIN["*IDN?"], None, "")


def test_a_prompt_without_an_end_is_no_answer():
    found = met(UnknownMeter(prompt=b"> ", error_queue=""))
    assert (found.prompts, found.prompt_ends_line, found.identity) == ((">",), False, PLAIN["*IDN?"])


@pytest.mark.parametrize(
    ("obeys", "obeyed"), [("lf", (b"\n",)), ("cr", (b"\r",)), ("crlf", (b"\r\n",)), ("any", (b"\n", b"\r", b"\r\n"))]
)
@pytest.mark.parametrize("refusal", ["", "ERROR"])
def test_the_end_of_a_message_is_found_also_where_only_one_is_obeyed(obeys, obeyed, refusal):
    found = met(UnknownMeter(obeys=obeys, refusal=refusal))
    assert (found.obeyed, found.identity) == (obeyed, PLAIN["*IDN?"])


@pytest.mark.parametrize("ends", [b"\n", b"\r\n", b"\r", b"\n\r", b"\r\n\0"])
def test_the_end_of_its_lines_is_found(ends):
    assert met(UnknownMeter(ends=ends)).received == ends


def test_a_value_without_an_end_is_met_too():
    assert met(UnknownMeter(ends=b"", error_queue="")).received is None


def test_a_meter_without_an_identity_is_met_by_what_it_does_answer():
    found = met(UnknownMeter(answers=NO_IDENTITY, error_queue="", obeys="cr", ends=b"\r", frame=frame_from("2400 8N1")))
    assert (found.identity, found.probe, found.serial_field) == (None, "FUNC1?", None)
    assert (found.answers, found.obeyed, found.received) == ({"FUNC1?": "02", "VAL1?": "5.0032 VAC"}, (b"\r",), b"\r")


@pytest.mark.parametrize("identity", ["NOBODY,TM6,0", "NOBODY, TM6, 0042, 1.0, 2.0", "A BENCH METER"])
def test_fields_of_the_identity_are_counted(identity):
    found = met(UnknownMeter(answers=PLAIN | {"*IDN?": identity}))
    assert found.identity == identity
    assert found.serial_field == (3 if "0042" in identity else None)


@pytest.mark.parametrize("frame", ["9600 8N1", "1200 7O1", "38400 8N1"])
def test_a_meter_that_only_talks_is_heard_in_its_frame_and_not_taken_for_answering(frame):
    found = met(UnknownMeter(answers={}, error_queue="", stream=b"+0.0012E+0 VDC\r\n", frame=frame_from(frame)))
    assert str(found.frame) == frame
    assert (found.stream[0], found.identity, found.answers) == ("+0.0012E+0 VDC", None, {})
    assert nearest(found, KNOWN) is None


def test_a_meter_that_talks_and_answers_is_asked_amid_its_talk():
    found = met(UnknownMeter(stream=b"12.34\r\n"))
    assert (found.identity, found.stream[0]) == (PLAIN["*IDN?"], "12.34")


def test_a_greeting_is_heard_out_and_is_no_identity():
    found = met(UnknownMeter(banner=b"# boot 1.2\r\n# ready\r\n"))
    assert (found.banner, found.identity, found.stream) == ("# boot 1.2 / # ready", PLAIN["*IDN?"], ())


def test_a_meter_that_holds_us_back_now_and_then_tells_its_flow_control():
    found = met(UnknownMeter(ends=b"\r\n\x11"))
    assert (found.identity, found.xon_xoff, found.received) == (PLAIN["*IDN?"], True, b"\r\n")
    assert not met(UnknownMeter()).xon_xoff


def test_a_slow_meter_is_met_although_its_answer_came_when_another_frame_was_set():
    assert met(UnknownMeter(delay_s=0.9)).identity == PLAIN["*IDN?"]


@pytest.mark.parametrize("slow", ["CONF?", "FETC?", "VOLT:AC:RANG?", "SYST:ERR?"])
def test_an_answer_that_comes_late_is_of_its_own_question_and_of_no_other(slow):
    found = met(UnknownMeter(slow_s={slow: 0.95}))
    assert {query: found.answers.get(query) for query in PLAIN} == PLAIN
    assert (found.error_query, found.no_error) == ("SYST:ERR?", '+0,"No error"')
    assert found.stopped == ""


def test_what_it_says_to_every_question_is_no_answer():
    found = met(UnknownMeter(answers={}, error_queue="", refusal="ERROR"))
    assert (found.answers, found.identity, found.unknown_header) == ({}, None, "ERROR")


# -- why nothing is learnt -------------------------------------------------------------------------------


def test_a_silent_line_is_called_silent():
    found = not_met(UnknownMeter(answers={}, error_queue=""))
    assert (found.why, found.tried, found.heard) == (Why.SILENT, len(FRAMES) + 1, {})  # one is a known dialect's own


def test_our_own_words_are_no_answer():
    found = not_met(UnknownMeter(answers={}, error_queue="", echo=True))
    assert (found.why, found.echoes) == (Why.ECHOES, "9600 8N1")


def test_bytes_in_a_frame_that_is_not_tried_are_called_unreadable_and_never_silence():
    meter = UnknownMeter(answers={}, error_queue="", stream=b"+1.2345E+00\r\n", frame=LineSettings(31250))
    found = not_met(meter)
    assert found.why is Why.UNREADABLE
    assert found.heard


def test_a_frame_that_the_port_refuses_is_not_counted_as_tried():
    search = DialectSearch(0.0)
    now = 0.0
    while search.ask is not None:
        now += 0.1
        if search.ask.frame.data_bits == 7:
            search.refuse_frame(now)
        else:
            search.feed(b"", now)
    assert isinstance(search.found, NotMet)
    assert (search.found.tried, len(search.found.refused)) == (18, 18)


# -- the dialects that come along ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("profile", "speaker"),
    [
        ("scpi", ConfRead),
        ("scpi-func-quoted", FuncQuoted),
        ("scpi-meas-only", MeasOnly),
        ("scpi-init-fetch", InitFetch),
        ("displayed-value", Displayed),
        ("words-prompt", WordsPrompt),
        ("numbered-functions", Numbered),
        ("mean-handheld", HandHeld),
        ("scpi-suffix-range", MilliOhm),
    ],
)
def test_each_dialect_that_comes_along_is_recognised_as_itself(profile, speaker):
    found = met(SpeakerMeter(speaker=speaker(), frame=load_meter_profile(profile).line))
    near = nearest(found, KNOWN)
    assert near is not None
    assert near.profile.name == profile, near
    again = profile_of(found)
    assert again is not None
    # Two stop bits are understood as one and more of a pause: 8N2 is met as 8N1, which comes first.
    assert str(again.line) == str(load_meter_profile(profile).line).replace("8N2", "8N1")
    assert again.identity_query == near.profile.identity_query
    assert near.profile.functions.keys() >= again.functions.keys() >= {Quantity.VOLTAGE_DC}


def profile_of(found: Met) -> MeterProfile | None:
    """The profile to start from, through the loader; None where there is none."""
    near = nearest(found, KNOWN)
    if near is None:
        return None
    text = first_profile(found, near, meter_profile_table(near.profile.name), "mine")
    return meter_profile_from(tomllib.loads(text), "mine.toml")


# -- what is never done ----------------------------------------------------------------------------------

_OF_DIALECTS = {profile.identity_query for profile in KNOWN}


def is_harmless(data: bytes) -> bool:
    messages = [part for part in re.split(rb"[\r\n]+", data) if part]
    return all(harmless(part.decode("ascii")) or part.decode("ascii") in _OF_DIALECTS for part in messages)


@pytest.mark.parametrize(
    "message", ["READ?", "MEAS:VOLT:AC?", "CONF:VOLT:AC 10", "*RST", "*CLS", "*TST?", "*OPC?", "*ESR?"]
)
@pytest.mark.parametrize("further", ["", "FUNC?;*RST", 'FUNC "VOLT"?', "SYST:REM", "INIT", "D"])
def test_what_sets_triggers_or_clears_is_no_question(message, further):
    assert not harmless(message)
    assert not harmless(further)


@given(st.lists(st.binary(max_size=40), max_size=400), st.integers(0, 2**31))
@settings(max_examples=60, deadline=None)
def test_whatever_comes_back_it_ends_in_time_and_only_asks(said, seed):
    search = DialectSearch(0.0, known=KNOWN)
    now, steps = 0.0, 0
    while search.ask is not None:
        assert is_harmless(search.ask.data)
        assert search.ask.first_s <= search.ask.most_s < LONGEST_S
        now += search.ask.first_s
        search.feed(said[(seed + steps) % len(said)] if said else b"", now)
        steps += 1
        assert steps < 2000
    assert now < TOTAL_S + LONGEST_S
    assert isinstance(search.found, (Met, NotMet))


texts = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=30)


@given(
    st.dictionaries(st.sampled_from(["*IDN?", "CONF?", "FUNC?", "VAL1?", "FETC?", "SYST:ERR?"]), texts, max_size=4),
    st.sampled_from(FRAMES),
    st.sampled_from([b"\n", b"\r\n", b"\r"]),
    st.sampled_from(["any", "lf", "cr", "crlf"]),
    st.booleans(),
    st.sampled_from([b"", b"=>\r\n", b"> "]),
)
@settings(max_examples=60, deadline=None)
def test_any_meter_ends_the_search_in_time_hears_only_questions_and_gives_a_profile_that_loads(
    answers, frame, ends, obeys, echo, prompt
):
    meter = UnknownMeter(answers=answers, frame=frame, ends=ends, obeys=obeys, echo=echo, prompt=prompt, error_queue="")
    found, line, took = met_with(meter)
    if isinstance(found, Met):
        profile_of(found)
    assert took < TOTAL_S + LONGEST_S
    assert all(is_harmless(data) for data in line.sent)


@given(st.binary(max_size=60), st.text(max_size=5))
def test_taking_apart_never_fails(data, sent):
    read_back(data, sent)
    shifted_frame(data)


# -- the serial interfaces of these tests ----------------------------------------------------------------


@given(st.binary(min_size=1, max_size=20), st.sampled_from(FRAMES))
def test_two_interfaces_in_the_same_frame_understand_each_other(data, frame):
    bare = bytes(byte & (2**frame.data_bits - 1) for byte in data)
    assert heard(data, frame, frame, checks_parity=True) == bare


def test_seven_bits_with_parity_are_recognised_in_eight():
    said = b"NOBODY,TM6\r\n"
    even, odd = (LineSettings(4800, 7, parity, 1) for parity in (Parity.EVEN, Parity.ODD))
    plain = LineSettings(4800)
    assert shifted_frame(heard(said, even, plain)) == "even"
    assert shifted_frame(heard(said, odd, plain)) == "odd"
    assert shifted_frame(said) is None

"""Each dialect that comes along, spoken over a pseudo-terminal by a peer that has a description of its own."""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

import pytest

from drivers.errors import DriverError, MeterError, NoAnswer, OutOfStep, Unreadable, Unsupported
from drivers.line_settings import Parity
from drivers.link import Link
from drivers.meter import Meter
from drivers.meter_profile import MeterProfile
from drivers.profile_files import load_meter_profile, profile_names
from drivers.reading import Quantity, Reading, State

from .other_speakers import HandHeld, Numbered, WordsPrompt
from .pty_peer import PtyPeer
from .scpi_speakers import ConfRead, Displayed, FuncQuoted, InitFetch, MeasOnly, MilliOhm
from .speaker import AC, AMPS, DC, FOUR, OHMS, Speaker

Peers = Callable[..., PtyPeer]
QUANTITY = {
    AC: Quantity.VOLTAGE_AC,
    DC: Quantity.VOLTAGE_DC,
    AMPS: Quantity.CURRENT_AC,
    OHMS: Quantity.RESISTANCE,
    FOUR: Quantity.RESISTANCE_4W,
}


@dataclass(frozen=True)
class Spoken:
    """A profile, its peer, what is read of it, and how its trouble shows."""

    profile: str
    speaker: type[Speaker]
    functions: tuple[str, ...]
    trouble: type[DriverError]
    words: str
    beyond: float = 1e4  # over every range
    spans: tuple[float, ...] = (10.0, 10.0)


ALL = [
    Spoken("scpi", ConfRead, (AC, DC), MeterError, "-221 Settings conflict"),
    Spoken("scpi-func-quoted", FuncQuoted, (AC, OHMS), MeterError, "-221 Illegal parameter", spans=(10.0, 100.0)),
    Spoken("scpi-meas-only", MeasOnly, (AC, AMPS), NoAnswer, "the meter says: 16", spans=(20.0, 0.02)),
    Spoken("scpi-init-fetch", InitFetch, (AC, FOUR), NoAnswer, "-221 Data corrupt or stale", spans=(10.0, 100.0)),
    Spoken("displayed-value", Displayed, (AC, DC), MeterError, "-221 Illegal parameter", spans=(20.0, 2.0)),
    Spoken("words-prompt", WordsPrompt, (AC, OHMS), MeterError, "!> \\(execution error\\)", spans=(30.0, 300.0)),
    Spoken("numbered-functions", Numbered, (AC, DC), MeterError, "FN 2 was refused: .*nOK", spans=(20.0, 2.0)),
    Spoken("mean-handheld", HandHeld, (AC, OHMS), OutOfStep, "V AC; is the meter on this", spans=(20.0, 200.0)),
    Spoken("scpi-suffix-range", MilliOhm, (FOUR, DC), MeterError, "1203 Undefined header", spans=(2.0, 2.0)),
]
each_dialect = pytest.mark.parametrize("spoken", ALL, ids=[each.profile for each in ALL])


@contextmanager
def talking(peers: Peers, profile: MeterProfile, speaker: Speaker, frequency: float = 50.0) -> Iterator[Meter]:
    """A meter of ours on the speaker, with short waits; the speaker answers at once or never."""
    # a pseudo-terminal has eight bits and no parity, whatever is set
    line = replace(profile.line, data_bits=8, parity=Parity.NONE)
    timing = replace(profile.timing, response_s=0.8, identity_s=0.8, late_s=0.3, quiet_s=0.05, gap_s=0.0)
    functions = {q: replace(f, response_s=None) for q, f in profile.functions.items()}
    brisk = replace(profile, timing=timing, functions=functions)

    def doze(seconds: float) -> None:
        time.sleep(seconds / 100)

    peer = speaker.peer = peers(hear=speaker.hear, ends=speaker.hears)
    link, name = Link(peer.device, line, sleep=doze), f"{profile.name}@{peer.device}"
    with Meter(link, brisk, name, sleep=doze, frequency=frequency) as meter:
        yield meter


def select(meter: Meter, speaker: Speaker, function: str, expected: float | None) -> None:
    speaker.function = function if isinstance(speaker, HandHeld) else speaker.function  # a person turns the dial
    meter.select(QUANTITY[function], expected)


def select_and_read(meter: Meter, speaker: Speaker, function: str) -> Reading:
    select(meter, speaker, function, speaker.truth[function])
    return meter.read()


@each_dialect
def test_two_functions_are_read_one_after_the_other(peers: Peers, spoken: Spoken):
    speaker = spoken.speaker()
    with talking(peers, load_meter_profile(spoken.profile), speaker) as meter:
        assert meter.identity
        for function, span in zip(spoken.functions, spoken.spans, strict=True):
            select(meter, speaker, function, speaker.truth[function])
            reading = meter.read()
            assert reading.value == pytest.approx(speaker.truth[function], rel=2e-3)
            assert (reading.span, reading.state) == (span, State.GOOD)
            assert reading.standard_uncertainty > 0


@each_dialect
def test_over_range_is_a_state_in_every_dialect(peers: Peers, spoken: Spoken):
    speaker = spoken.speaker()
    function = spoken.functions[0]
    good = speaker.truth[function]
    with talking(peers, load_meter_profile(spoken.profile), speaker) as meter:
        select(meter, speaker, function, good)
        speaker.truth[function] = spoken.beyond
        reading = meter.read()
        assert (reading.state, reading.value) == (State.OVERLOAD, None)
        speaker.truth[function] = good
        assert meter.read().value == pytest.approx(good, rel=2e-3)


@each_dialect
def test_trouble_is_told_in_the_meters_words_and_the_next_reading_is_right(peers: Peers, spoken: Spoken):
    speaker = spoken.speaker()
    function = spoken.functions[0]
    with talking(peers, load_meter_profile(spoken.profile), speaker) as meter:
        speaker.broken = True
        with pytest.raises(spoken.trouble, match=spoken.words):
            select_and_read(meter, speaker, function)
        speaker.broken = False
        assert select_and_read(meter, speaker, function).value == pytest.approx(speaker.truth[function], rel=2e-3)


@pytest.mark.parametrize(
    ("profile", "speaker", "farewell"),
    [
        ("scpi", ConfRead, b"SYST:LOC"),
        ("scpi-init-fetch", InitFetch, b"SYST:LOC"),
        ("displayed-value", Displayed, b"SYST:LOC"),
        ("words-prompt", WordsPrompt, b"LOCS"),
        ("numbered-functions", Numbered, b"GL"),
    ],
)
def test_the_panel_is_taken_and_given_back_in_every_dialect_that_has_to(peers: Peers, profile, speaker, farewell):
    there = speaker()
    with talking(peers, load_meter_profile(profile), there):
        assert there.remote
        there.peer.say(b"half a line")
    assert there.peer.wait_heard(farewell)
    assert not there.remote


@each_dialect
def test_a_function_that_a_profile_lacks_is_refused_before_anything_is_sent(peers: Peers, spoken: Spoken):
    speaker = spoken.speaker()
    with talking(peers, load_meter_profile(spoken.profile), speaker) as meter:
        said = len(speaker.heard)
        with pytest.raises(Unsupported, match="has no insulation_resistance"):
            meter.select(Quantity.INSULATION_RESISTANCE)
        assert len(speaker.heard) == said


def test_a_value_that_is_only_displayed_is_never_the_one_from_before(peers: Peers):
    speaker = Displayed()
    with talking(peers, load_meter_profile("displayed-value"), speaker) as meter:
        meter.select(Quantity.VOLTAGE_AC, 6.3)
        assert meter.read().value == pytest.approx(6.3)
        speaker.truth[AC] = 12.6
        assert meter.read().value == pytest.approx(12.6)


def test_a_hand_held_that_complains_of_its_battery_is_read_all_the_same(peers: Peers):
    speaker = HandHeld()
    speaker.battery_low = True
    with talking(peers, load_meter_profile("mean-handheld"), speaker) as meter:
        meter.select(Quantity.VOLTAGE_AC)
        assert meter.read().value == pytest.approx(6.3)


def test_a_line_that_means_nothing_may_come_at_any_time(peers: Peers):
    speaker = HandHeld()
    with talking(peers, load_meter_profile("mean-handheld"), speaker) as meter:
        meter.select(Quantity.VOLTAGE_AC)
        meter.read()
        said = len(speaker.heard)
        speaker.peer.say(b"FUNCTION\r")
        assert speaker.peer.wait_unread()
        assert meter.read().value == pytest.approx(6.3)
        assert len(speaker.heard) == said + 2  # read twice until it is steady, and nothing had to be set anew


@pytest.mark.parametrize(
    ("profile", "speaker", "question", "late"),
    [
        ("words-prompt", WordsPrompt, "MEAS?", b"MEAS?\r\n+9.9990E+0 VAC\r\n=>\r\n"),
        ("words-prompt", WordsPrompt, "RANGE 3", b"RANGE 3\r\n=>\r\n"),
        ("numbered-functions", Numbered, "RD?", b"9,9990\r"),
        ("numbered-functions", Numbered, "RG 3", b"OK\r"),
        ("scpi-init-fetch", InitFetch, "FETC?", b"+9.9990E+00,+0.200,+00001\r\n"),
        ("scpi-suffix-range", MilliOhm, "MEAS?", b"# 21.0 C\r\n\0+9.9990E+00,OHM\r\n\0"),
    ],
)
def test_what_comes_late_is_never_taken_for_the_next(peers: Peers, profile, speaker, question, late):
    there = speaker()
    function = FOUR if speaker is MilliOhm else AC
    with talking(peers, load_meter_profile(profile), there) as meter:
        there.silent_at.append(question)
        with pytest.raises(NoAnswer):
            select_and_read(meter, there, function)
        there.peer.say(late)
        assert there.peer.wait_unread()
        assert select_and_read(meter, there, function).value == pytest.approx(there.truth[function])


@pytest.mark.parametrize(("volts", "span"), [(0.12, 0.2), (6.3, 20.0), (19.0, 200.0), (231.0, 600.0)])
def test_a_meter_that_ranges_itself_is_judged_by_the_range_it_may_have_taken(peers: Peers, volts, span):
    speaker = HandHeld()
    speaker.truth[AC] = volts
    with talking(peers, load_meter_profile("mean-handheld"), speaker) as meter:
        meter.select(Quantity.VOLTAGE_AC)
        assert meter.read().span == span


def test_leads_that_are_not_on_are_no_value(peers: Peers):
    speaker = MilliOhm()
    speaker.leads_open = True
    with talking(peers, load_meter_profile("scpi-suffix-range"), speaker) as meter:
        meter.select(Quantity.RESISTANCE_4W, 1.0)
        assert meter.read().state is State.NO_VALUE


def test_a_dialect_without_an_identity_says_so(peers: Peers):
    with talking(peers, load_meter_profile("words-prompt"), WordsPrompt()) as meter:
        assert meter.identity == "no identity, answers to FUNC?"


def test_a_prompt_that_the_profile_does_not_know_is_named_at_open(peers: Peers):
    profile = load_meter_profile("words-prompt")
    with (
        pytest.raises(OutOfStep, match="=>"),
        talking(peers, replace(profile, manners=replace(profile.manners, echo=True, prompt=b"")), WordsPrompt()),
    ):
        pass


@pytest.mark.parametrize("terminator", [b"\n", b"\r", b"\r\n", b"\n\r", b"\r\n\0"])
def test_each_end_of_line_is_taken_off_whole(peers: Peers, terminator):
    class Ending(ConfRead):
        says = terminator

    profile = replace(load_meter_profile("scpi"), terminator_received=terminator)
    with talking(peers, profile, Ending()) as meter:
        assert meter.identity == ConfRead.identity
        meter.select(Quantity.VOLTAGE_AC, 6.3)
        reading = meter.read()
        assert (reading.value, reading.raw) == (6.3, "+6.300000E+00")


@pytest.mark.parametrize("terminator", [b"\r", b"\r\n\0"])
def test_an_end_of_line_that_the_profile_does_not_know_is_no_reading_and_no_crash(peers: Peers, terminator):
    class Ending(ConfRead):
        says = terminator

    with pytest.raises((NoAnswer, OutOfStep, Unreadable)), talking(peers, load_meter_profile("scpi"), Ending()):
        pass


def test_what_the_meter_refuses_of_the_set_up_is_no_reason_to_stop(peers: Peers, caplog):
    profile = load_meter_profile("words-prompt")
    with talking(peers, replace(profile, setup=("NONSENSE", *profile.setup)), WordsPrompt()) as meter:
        meter.select(Quantity.VOLTAGE_AC, 6.3)
        assert meter.read().value == pytest.approx(6.3)
    assert "NONSENSE was refused: the meter says ?> (command error)" in caplog.text


def test_the_doubt_is_that_of_the_frequency_and_none_is_stated_outside(peers: Peers):
    profile = load_meter_profile("mean-handheld")
    speaker = HandHeld()
    with talking(peers, profile, speaker, frequency=60.0) as meter:
        meter.select(Quantity.VOLTAGE_AC)
        (gain,) = [each.u for each in meter.read().components if each.source.endswith(":gain")]
        assert gain == pytest.approx(0.012 / 3**0.5)  # 1.2 % from 40 Hz to 400 Hz
    with talking(peers, profile, speaker, frequency=1e3) as meter:
        said = len(speaker.heard)
        with pytest.raises(Unsupported, match="no accuracy is stated at 1000 Hz"):
            meter.select(Quantity.VOLTAGE_AC)
        assert len(speaker.heard) == said


# -- the profiles among themselves -------------------------------------------------------------------


def dialect_of(profile: MeterProfile) -> dict[str, object]:
    """What a profile says of how its meters speak: nothing of ranges, accuracies and waits that only differ in size."""
    manners, shape, forms = profile.manners, profile.shape, profile.forms
    functions = profile.functions.values()
    return {
        "frame": str(profile.line),
        "flow": profile.line.flow,
        "levels": (profile.line.dtr, profile.line.rts),
        "settle": profile.line.open_settle_s > 0,
        "terminator sent": profile.terminator_sent,
        "terminator received": profile.terminator_received,
        "device clear": profile.device_clear,
        "echo": manners.echo,
        "prompt": (manners.prompt, manners.command_error, manners.execution_error),
        "acknowledge": (manners.acknowledge, manners.refusal),
        "skip": tuple(each.pattern for each in manners.skip),
        "gap": profile.timing.gap_s,
        "identity": (profile.identity_query, profile.identity_is_probe),
        "serial field": profile.serial_field,
        "enter": profile.enter,
        "leave": profile.leave,
        "setup": profile.setup,
        "completion": profile.completion.query if profile.completion else None,
        "errors": (profile.error_query, profile.error_form.pattern if profile.error_form else None),
        "decimal": shape.decimal_comma,
        "over range": shape.over_range_prefix,
        "list": (shape.separator, shape.element, shape.count),
        "overload": (forms.overload_values, forms.overload_words),
        "no value": (forms.no_value_values, forms.no_value_words),
        "select": {f.quantity: f.select for f in functions},
        "verify": {f.quantity: [(c.query, c.pattern.pattern) for c in f.verify] for f in functions},
        "filter": {f.quantity: f.filters for f in functions},
        "arm and read": {f.quantity: (f.arm, f.read) for f in functions},
        "taking": {f.taking for f in functions},
        "units": {f.quantity: dict(f.units) for f in functions},
        "ranging": {f.ranges_itself for f in functions},
        "response": {f.response for f in functions},
    }


def test_nine_profiles_come_along_and_each_has_a_peer():
    assert len(ALL) >= 9
    assert {each.profile for each in ALL} == set(profile_names("meters"))


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(profile_names("meters"), 2)))
def test_any_two_profiles_differ_in_at_least_four_things_of_their_dialect(one, other):
    first, second = dialect_of(load_meter_profile(one)), dialect_of(load_meter_profile(other))
    assert sum(first[key] != second[key] for key in first) >= 4


@pytest.mark.parametrize("name", profile_names("meters"))
def test_each_profile_says_what_it_was_made_from_or_that_nobody_tried_it(name):
    from drivers import profile_files

    text = (profile_files._CHECKOUT / "meters" / f"{name}.toml").read_text()
    comments = " ".join(line for line in text.splitlines() if line.startswith("#"))
    assert "untested on hardware" in comments or "recorded" in comments
    assert "from memory" in load_meter_profile(name).accuracy_basis

"""A meter gives the right number for its query, or says why not; tried on a fake one in virtual time."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from drivers.errors import LinkLost, MeterError, NoAnswer, OutOfStep, Unreadable, Unsupported
from drivers.meter import Meter
from drivers.meter_profile import MeterProfile
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity, Reading, State

from .clocks import VirtualClock
from .fake_meter import IDENTITY, FakeMeter
from .virtual_link import VirtualLink

V = Quantity.VOLTAGE_AC


class Bench:
    """A meter of ours on a fake one, and what lies between."""

    def __init__(self, profile: MeterProfile | None = None, **leads: float) -> None:
        self.clock = VirtualClock()
        self.fake = FakeMeter()
        self.link = VirtualLink(self.fake, self.clock)
        self.meter = Meter(
            self.link,
            profile or load_meter_profile("scpi"),
            "scpi@virtual",
            clock=self.clock,
            sleep=self.clock.sleep,
            utcnow=lambda: datetime(2026, 1, 2, tzinfo=UTC),
            **leads,
        )


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.fixture
def on_volts(bench: Bench) -> Bench:
    bench.meter.open()
    bench.meter.select(V, 6.3)
    bench.fake.heard.clear()
    return bench


def component(reading: Reading, ending: str) -> float:
    (found,) = [each for each in reading.components if each.source.endswith(ending)]
    return found.u * found.sensitivity


# -- opening and leaving -----------------------------------------------------------------------------


def test_opening_ends_an_earlier_message_asks_who_it_is_and_takes_over(bench):
    bench.meter.open()
    assert bench.fake.heard == ["", "*IDN?", "*IDN?", "SYST:ERR?", "SYST:REM", "*CLS", "SYST:ERR?"]
    assert bench.meter.identity == IDENTITY.decode()


@pytest.mark.parametrize("stale", [b"+1.0E+00\n", b"banner\nready\n", b"ODY,TM6,0", b"\xff\xfe\x00"])
def test_what_lies_on_the_line_at_open_is_never_taken_for_the_identity(bench, stale):
    bench.link.arrive(0.0, stale)
    bench.meter.open()
    assert bench.meter.identity == IDENTITY.decode()


def test_a_silent_meter_says_what_was_tried(bench):
    bench.fake.hear = lambda _: []
    with pytest.raises(NoAnswer, match=r"\*IDN\? within 1.5 s \(tried 3 times at 9600 8N1\)"):
        bench.meter.open()
    assert bench.link.closed == 1


def test_a_wrong_frame_is_not_called_silence(bench):
    bench.fake.identity = bytes(byte | 0x80 for byte in IDENTITY)
    with pytest.raises(Unreadable, match="parity"):
        bench.meter.open()


def test_an_unexpected_line_in_the_place_of_the_identity_is_named(bench):
    bench.fake.identity = b"=> ready"
    with pytest.raises(OutOfStep, match="=> ready"):
        bench.meter.open()


def test_errors_of_the_last_user_are_not_blamed_on_this_one(bench):
    bench.fake.errors.append(b'-410,"Query INTERRUPTED"')
    bench.meter.open()
    assert bench.meter.check_errors() == ()


def test_the_panel_is_given_back_on_the_way_out(on_volts):
    assert on_volts.fake.remote
    on_volts.meter.close()
    assert not on_volts.fake.remote


def test_the_panel_is_given_back_when_a_step_fails_in_the_middle(bench):
    with pytest.raises(ZeroDivisionError), bench.meter:
        1 / 0  # noqa: B018
    assert bench.fake.heard[-1] == "SYST:LOC"


def test_leaving_a_lost_line_does_not_raise(on_volts):
    on_volts.link.lost = True
    on_volts.meter.close()
    assert on_volts.link.closed == 1


# -- selecting ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("expected", "command"),
    [(6.3, "CONF:VOLT:AC 10"), (10.0, "CONF:VOLT:AC 10"), (-0.09, "CONF:VOLT:AC 0.1"), (None, "CONF:VOLT:AC 750")],
)
def test_the_smallest_range_that_holds_the_expected_value_is_chosen(bench, expected, command):
    bench.meter.open()
    bench.meter.select(V, expected)
    assert command in bench.fake.heard
    assert bench.fake.heard[-1] == "CONF?"


def test_what_the_profile_does_not_offer_is_refused_before_anything_is_sent(bench):
    bench.meter.open()
    bench.fake.heard.clear()
    with pytest.raises(Unsupported, match="temperature"):
        bench.meter.select(Quantity.TEMPERATURE)
    with pytest.raises(Unsupported, match="beyond the largest range"):
        bench.meter.select(V, 2000.0)
    assert bench.fake.heard == []
    assert not bench.meter.supports(Quantity.TEMPERATURE)


def test_a_selection_the_meter_does_not_confirm_is_an_error_with_its_words(bench):
    bench.meter.open()
    bench.fake.configure = lambda *_: bench.fake.errors.append(b'-222,"Data out of range"')
    with pytest.raises(MeterError, match=r"-222 Data out of range \(execution error: the meter knows the command and"):
        bench.meter.select(V, 6.3)


def test_without_a_verify_query_the_error_queue_tells(bench):
    profile = load_meter_profile("scpi")
    blind = {q: replace(f, verify=()) for q, f in profile.functions.items()}
    bench = Bench(replace(profile, functions=blind))
    bench.meter.open()
    bench.fake.configure = lambda *_: bench.fake.errors.append(b'-222,"Data out of range"')
    with pytest.raises(MeterError, match=r"was refused: -222 Data out of range \(execution error:"):
        bench.meter.select(V, 6.3)


def test_reading_without_a_selection_is_refused(bench):
    bench.meter.open()
    with pytest.raises(Unsupported, match="nothing is selected"):
        bench.meter.read()


# -- reading -----------------------------------------------------------------------------------------


def test_a_reading_carries_value_unit_span_and_raw_answer(on_volts):
    reading = on_volts.meter.read()
    assert (reading.value, reading.unit, reading.span) == (6.3, "V", 10.0)
    assert reading.raw == "+6.30000000E+00"
    assert reading.state is State.GOOD
    assert reading.instrument == "scpi@virtual"


def test_the_first_reading_after_a_selection_is_thrown_away_and_it_settles(on_volts):
    on_volts.fake.values.extend([99e9, 5.0, 6.0, 6.2999, 6.3])
    assert on_volts.meter.read().value == 6.3


def test_a_value_that_never_settles_carries_its_scatter(on_volts):
    on_volts.fake.values.extend([0.0, *[5.0, 6.0] * 10])
    reading = on_volts.meter.read()
    assert reading.value == pytest.approx(5.5, abs=0.2)
    assert component(reading, ":noise") > 0.4


def test_several_samples_are_averaged_and_their_noise_with_them(on_volts):
    one, four = on_volts.meter.read(), on_volts.meter.read(samples=4)
    assert component(four, ":noise") == pytest.approx(component(one, ":noise") / 2)
    assert four.raw.count(";") == 3


def test_the_components_follow_from_the_range_accuracy(on_volts):
    reading = on_volts.meter.read()
    # 0.06 % of 6.3 V, 0.04 % of 10 V, half of 10 uV: each rectangular
    assert component(reading, ":10:gain") == pytest.approx(0.0006 * 6.3 / 3**0.5)
    assert component(reading, ":10:offset") == pytest.approx(0.0004 * 10 / 3**0.5)
    assert component(reading, ":resolution") == pytest.approx(0.5e-5 / 3**0.5)


def test_two_readings_of_a_range_share_gain_and_offset_only(on_volts):
    first, second = on_volts.meter.read(), on_volts.meter.read()
    shared = {each.source for each in first.components} & {each.source for each in second.components}
    assert shared == {"scpi@virtual:voltage_ac:10:gain", "scpi@virtual:voltage_ac:10:offset"}


def test_over_range_is_a_state_and_no_number(on_volts):
    on_volts.fake.value = 50.0
    reading = on_volts.meter.read()
    assert (reading.state, reading.value, reading.components) == (State.OVERLOAD, None, ())


def test_one_over_range_among_the_samples_makes_the_reading_so(on_volts):
    on_volts.fake.values.extend([6.3, 6.3, 6.3, 6.3, 50.0])
    assert on_volts.meter.read(samples=3).state is State.OVERLOAD


@pytest.mark.parametrize(("value", "span"), [(0.063, 0.1), (6.3, 10.0), (230.0, 750.0), (9.95, 100.0)])
def test_without_an_expected_value_the_range_follows_it(bench, value, span):
    bench.fake.value = value
    bench.meter.open()
    bench.meter.select(V)
    reading = bench.meter.read()
    assert (reading.value, reading.span) == (value, span)


def test_following_goes_up_again_when_the_value_rises(bench):
    bench.fake.value = 0.05
    bench.meter.open()
    bench.meter.select(V)
    bench.meter.read()
    bench.fake.value = 90.0
    assert bench.meter.read().value == 90.0


def test_lead_resistance_is_taken_off_two_wire_resistances_and_doubted():
    bench = Bench(lead_resistance=0.12, u_lead=0.02)
    bench.fake.value = 5.12
    bench.meter.open()
    bench.meter.select(Quantity.RESISTANCE, 5.0)
    reading = bench.meter.read()
    assert reading.value == pytest.approx(5.0)
    assert component(reading, ":leads") == -0.02


def test_unknown_leads_are_bounded_by_the_profile():
    bench = Bench()
    bench.meter.open()
    bench.meter.select(Quantity.RESISTANCE, 5.0)
    assert component(bench.meter.read(), ":leads") == pytest.approx(-0.2 / 3**0.5)


def test_four_wires_have_no_leads_to_doubt():
    bench = Bench(lead_resistance=0.12, u_lead=0.02)
    bench.meter.open()
    bench.meter.select(Quantity.RESISTANCE_4W, 5.0)
    reading = bench.meter.read()
    assert reading.value == 6.3
    assert not any(each.source.endswith(":leads") for each in reading.components)


# -- trouble -----------------------------------------------------------------------------------------


def test_a_late_answer_is_never_taken_for_the_next(on_volts):
    on_volts.meter.read()
    on_volts.fake.faults.append([(3.2, b"+1.11111111E+00\n")])
    with pytest.raises(NoAnswer, match="within 3 s"):
        on_volts.meter.read()
    assert on_volts.meter.read().value == 6.3


def test_an_answer_so_late_that_it_lands_in_front_of_the_identity_is_dropped(on_volts):
    on_volts.fake.faults.append([(3.051, b"+1.11111111E+00\n")])
    with pytest.raises(NoAnswer):
        on_volts.meter.read()
    assert on_volts.meter.read().value == 6.3


def test_getting_in_step_sets_and_verifies_the_selection_before_the_next_reading(on_volts):
    on_volts.fake.faults.append([])
    with pytest.raises(NoAnswer):
        on_volts.meter.read()
    assert on_volts.fake.heard[1:] == [
        *["", "*IDN?", "SYST:ERR?", "SYST:REM", "*CLS", "SYST:ERR?", "CONF:VOLT:AC 10", "CONF?"]
    ]


def test_silence_with_an_error_queued_carries_its_text(on_volts):
    on_volts.fake.faults.append([])
    on_volts.fake.errors.append(b'-214,"Trigger deadlock"')
    with pytest.raises(NoAnswer, match="-214 Trigger deadlock"):
        on_volts.meter.read()


@pytest.mark.parametrize(
    ("answer", "error"),
    [
        (b"+1.0E+00\n+2.0E+00\n", OutOfStep),
        (b"+1.0x0E+00\n", OutOfStep),
        (b"VOLT READY\n", OutOfStep),
        (b"+1.0\x00E+00\n", Unreadable),
        (b"\xb1\xb2\xb3\n", Unreadable),
        (b"9" * 500 + b"\n", Unreadable),
        (b"+1.0E+00", NoAnswer),
        (b'-221,"Settings conflict"\n', MeterError),
    ],
)
def test_a_damaged_answer_is_an_error_and_the_next_reading_is_its_own(on_volts, answer, error):
    on_volts.fake.faults.append([(0.0, answer)])
    with pytest.raises(error):
        on_volts.meter.read()
    assert on_volts.meter.read().value == 6.3


def test_a_value_cut_in_two_by_a_pause_is_read_whole(on_volts):
    on_volts.meter.read()
    on_volts.fake.faults.append([(0.0, b"+6.2999"), (1.0, b"9900E+00\n")])
    assert on_volts.meter.read().value == pytest.approx(6.3, abs=1e-4)


def test_an_answer_sent_twice_counts_once(on_volts):
    on_volts.meter.read()
    on_volts.fake.faults.append([(0.0, b"+6.30000000E+00\n"), (0.0, b"+6.30000000E+00\n")])
    assert on_volts.meter.read().value == 6.3


def test_a_line_nobody_asked_for_is_dropped_and_the_reading_begun_again(on_volts):
    on_volts.meter.read()
    on_volts.fake.heard.clear()
    on_volts.link.arrive(0.0, b"+1.11111111E+00\n")
    assert on_volts.meter.read().value == 6.3
    assert "*IDN?" in on_volts.fake.heard


def test_lines_that_keep_coming_unasked_are_an_error(on_volts):
    on_volts.meter.read()
    for tick in range(400):
        on_volts.link.arrive(tick * 0.1, b"+1.11111111E+00\n")
    with pytest.raises(OutOfStep):
        on_volts.meter.read()


def test_a_meter_that_started_anew_in_the_middle_is_set_again(on_volts):
    on_volts.meter.read()
    on_volts.fake.power_on()
    assert on_volts.meter.read().span == 10.0
    assert (on_volts.fake.function, on_volts.fake.range, on_volts.fake.remote) == ("VOLT:AC", 10.0, True)


def test_a_lost_line_is_opened_and_set_up_anew_and_read_again(on_volts):
    on_volts.link.lose_after = on_volts.link.sent + 2
    assert on_volts.meter.read().value == 6.3
    assert on_volts.link.opened == 2
    assert on_volts.fake.heard.count("CONF:VOLT:AC 10") == 1


def test_a_line_that_stays_away_is_told(on_volts):
    on_volts.link.comes_back = False
    on_volts.link.lost = True
    with pytest.raises(LinkLost):
        on_volts.meter.read()


def test_another_meter_on_the_same_port_is_not_read(on_volts):
    on_volts.fake.identity = b"NOBODY,TM6,0043,1.0"
    on_volts.link.lost = True
    with pytest.raises(MeterError, match=r"another meter.*0043.*0042"):
        on_volts.meter.read()


def test_a_wedged_meter_is_to_be_switched_off_and_on(on_volts):
    on_volts.fake.hear = lambda _: []
    for _ in range(3):
        with pytest.raises(NoAnswer) as trouble:
            on_volts.meter.read()
    assert "switch the meter off and on" in str(trouble.value)


def test_every_way_of_silence_ends_in_bounded_time(on_volts):
    on_volts.fake.hear = lambda _: []
    started = on_volts.clock.now
    with pytest.raises(NoAnswer):
        on_volts.meter.read()
    timing = on_volts.meter.profile.timing
    assert on_volts.clock.now - started < timing.response_s + timing.resync_s


def test_an_error_queue_that_never_empties_is_bounded(on_volts):
    on_volts.fake.errors.extend([b'-350,"Queue overflow"'] * 500)
    assert len(on_volts.meter.check_errors()) == on_volts.meter.profile.errors_most


def test_a_flood_at_open_is_given_up(bench):
    for tick in range(2000):
        bench.link.arrive(tick * 0.01, b"x" * 50)
    with pytest.raises(OutOfStep, match="does not stop sending"):
        bench.meter.open()


def test_a_gap_between_messages_is_kept():
    profile = load_meter_profile("scpi")
    bench = Bench(replace(profile, timing=replace(profile.timing, gap_s=0.4)))
    bench.meter.open()
    assert bench.clock.now >= 100.0 + 0.4 * (len(bench.fake.heard) - 1)


def test_the_profiles_identity_pattern_is_matched_in_full(bench):
    assert bench.meter.profile.identity_pattern.fullmatch("A,B,C")
    assert not bench.meter.profile.identity_pattern.fullmatch("+1.0E+00")


# -- watching ----------------------------------------------------------------------------------------


def test_a_glance_is_one_answer_and_over_range_is_a_state_of_it(on_volts):
    on_volts.fake.values.extend([0.0, 6.1, 99.0])
    assert on_volts.meter.glance().value == pytest.approx(6.1)  # the first after a selection was thrown away
    assert on_volts.meter.glance().state is State.OVERLOAD
    assert on_volts.fake.heard.count("READ?") == 3

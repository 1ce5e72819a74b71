"""What the dashboard knows after each piece of news."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Excite
from bench.acceptance.suspicion import Suspicion
from bench.dashboard import news as told
from bench.dashboard.acceptance.asking import Terminal
from bench.dashboard.acceptance.conclusions import so_far_text
from bench.dashboard.instruments import Health
from bench.dashboard.state import Stage, advance, only_counted_on
from bench.winding.happenings import Weight
from drivers.counter import LinkCameBack, LinkWentAway
from drivers.counting import Bounded, Bridged, Broken
from tests.dashboard.given import (
    BEGUN,
    CONNECT,
    FEED,
    NOW,
    TAKING,
    TESTING,
    after,
    heater_off,
    job,
    progress,
    reading,
    step,
)

OFF = Excite("exciting", "primary", "primary.start", "primary.finish", volts=0.0, hertz=50.0, source="variac")


def test_a_winding_begun_is_shown_with_its_job() -> None:
    state = after(*BEGUN)
    assert (state.stage, state.job, state.winding) == (Stage.WINDING, job(), job().get_winding("primary"))
    assert state.counter.address == "hall@/dev/ttyACM0"


def test_a_count_is_the_counters_last_word() -> None:
    state = after(*BEGUN, told.Progressed(progress(411.4)))
    assert state.progress == progress(411.4)
    assert (state.counter.last, state.counter.heard_at) == ("411.4 turns", NOW)


def test_a_counter_that_stays_silent_is_called_so_with_what_to_do() -> None:
    counter = after(*BEGUN, told.Progressed(progress(411.4))).counter
    assert counter.health(NOW + 0.5) is Health.WELL
    assert counter.health(NOW + 60.0) is Health.SILENT
    assert "power" in counter.what_to_do(NOW + 60.0)


def test_a_meter_is_never_silent_since_it_speaks_when_asked() -> None:
    meter = after(*TESTING, TAKING, told.ReadingTaken("ratio:ht", reading())).meter
    assert meter.health(NOW + 600.0) is Health.WELL


def test_a_lost_line_says_what_to_do_and_a_found_one_is_well() -> None:
    lost = after(*BEGUN, told.CountEvent(LinkWentAway("gone", NOW)))
    assert lost.counter.health(NOW) is Health.LOST
    assert "cable" in lost.counter.what_to_do(NOW)
    found = after(told.CountEvent(LinkCameBack(2.1, NOW)), start=lost)
    assert found.counter.health(NOW) is Health.WELL
    assert found.counter.what_to_do(NOW) == ""


@pytest.mark.parametrize(
    ("event", "weight", "words"),
    [
        (Bridged(2, "", NOW), Weight.WELL, "2 lines lost on the way; the board kept the count, no turn lost"),
        (Bridged(1, "", NOW), Weight.WELL, "1 line lost on the way; the board kept the count, no turn lost"),
        (Bounded(10.0, 12.5, "it restarted", NOW), Weight.ACT, "Count between 10.0 and 12.5: it restarted"),
        (Broken("it restarted", NOW), Weight.ACT, "Count lost: it restarted"),
        (LinkCameBack(2.13, NOW), Weight.WELL, "The counter's line is back after 2.1 s"),
    ],
)
def test_what_happened_is_told_newest_first(event: object, weight: Weight, words: str) -> None:
    newest = after(*BEGUN, told.CountEvent(LinkWentAway("gone", NOW)), told.CountEvent(event)).happenings[0]
    assert (newest.weight, newest.words) == (weight, words)


def test_a_request_is_shown_with_the_marks_of_its_leads() -> None:
    card = after(*TESTING, told.Asked(CONNECT)).card
    assert card is not None
    assert card.clips == (Terminal("primary.start", "1 (black)"), Terminal("heater.start", "8 (green)"))
    assert card.links == ((Terminal("primary.finish", "2 (black-white)"), Terminal("heater.finish", "9 (green)")),)


def test_what_is_live_stays_shown_with_its_cautions_until_the_volts_are_off() -> None:
    live = after(*TESTING, told.Asked(FEED), told.Asked(CONNECT))
    assert live.live == "LIVE: 172 V on primary, up to 405 V between terminals"
    assert live.cautions == FEED.cautions
    off = after(told.Asked(OFF), start=live)
    assert (off.live, off.cautions) == ("", ())


def test_a_reading_belongs_to_the_request_it_answers() -> None:
    read = after(*TESTING, told.Asked(CONNECT), TAKING, told.ReadingTaken("polarity:heater", reading()))
    assert read.reading == reading()
    assert (read.meter.last, read.meter.address) == ("6.591 V", "scpi@/dev/ttyUSB0")
    assert after(told.Asked(FEED), start=read).reading is None


def test_overload_is_a_word_and_no_number() -> None:
    assert after(*TESTING, TAKING, told.ReadingTaken("ratio:ht", reading(None))).meter.last == "overload"


def test_a_step_done_twice_counts_by_its_last_result() -> None:
    first, second = step("ratio:ht", 80.0, Verdict.REJECTED), step("ratio:ht", 100.0)
    assert after(*TESTING, told.StepDone(first), told.StepDone(second)).results == (second,)


def test_at_the_end_the_results_are_those_of_the_verdict_and_nothing_is_live() -> None:
    state = after(*TESTING, told.Asked(FEED), told.Finished(heater_off()))
    assert (state.stage, state.results, state.live, state.card) == (Stage.ENDED, heater_off().steps, "", None)


def test_what_a_meter_shows_while_it_settles_stands_until_the_reading_is_taken() -> None:
    settling = told.Settling("6.30 V", "looks like heater")
    assert after(settling).settling == "6.30 V  looks like heater"
    assert after(settling, told.ReadingTaken("ratio:ht", reading())).settling == ""


def test_what_the_readings_speak_for_is_shown_on_the_way_from_one_in_five_on() -> None:
    likely = Suspicion("core_gap", "", "", 0.62, "the joints have a gap")
    little = Suspicion("turns_shorted", "ht", "", 0.19, "a turn of ht is shorted")
    state = after(*TESTING, told.StepDone(step("ratio:ht")), told.Suspected((likely, little)))
    assert so_far_text(state) == "62% so far: the joints have a gap\n1 steps done, nothing outside its limits so far."
    assert so_far_text(after(told.Suspected(()), start=state)) == "1 steps done, nothing outside its limits so far."


def test_a_count_that_goes_on_changes_nothing_else_until_it_stands_elsewhere() -> None:
    state = after(*BEGUN, told.Progressed(progress(411.4)))
    further = advance(state, told.Progressed(progress(412.0)), NOW)
    assert only_counted_on(state, further)
    assert only_counted_on(further, advance(further, told.InstrumentSaid("counter", "Example board 4"), NOW))
    assert not only_counted_on(further, advance(further, told.Progressed(progress(662.0)), NOW))
    assert not only_counted_on(further, advance(further, told.Said("held"), NOW))
    assert not only_counted_on(after(*BEGUN), state)

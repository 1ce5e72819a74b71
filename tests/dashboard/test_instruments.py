"""The strip of instruments: what is chosen, open, heard, silent and lost, and for how long."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.instruments import Health, board_text
from bench.dashboard.instruments_strip import InstrumentCard, InstrumentsStrip
from bench.dashboard.parts.fit_label import tip_of
from bench.dashboard.state import Snapshot
from bench.job.bench_file import BenchFile
from bench.sitting.problems import BadInput
from drivers.counter import LinkCameBack, LinkWentAway
from drivers.reading import Quantity, State
from tests.dashboard.given import BEGUN, NOW, after, progress, reading

LONG = "scpi@/dev/serial/by-id/usb-Example_Works_Bench_Meter_4_0417-if00-port0"
ROLES = told.InstrumentsChosen("meter", (("volts", LONG), ("amps", "scpi@/dev/ttyUSB1"), ("ohms", "scpi@/dev/ttyUSB2")))
OPEN = tuple(told.InstrumentOpened("meter", f"Example,{role}", role=role, address=use) for role, use in ROLES.uses)
TAKING = told.Taking("ratio:ht", Quantity.VOLTAGE_AC)


def _of(state: Snapshot, role: str) -> str:
    return next(one.words(NOW) for one in state.meters if one.role == role)


def _trouble(note: str) -> told.StepDone:
    result = StepResult(
        id="ratio:trouble", label="ratio: instrument", quantity="instrument", winding="", measured=None,
        state=State.NO_VALUE, unit="", verdict=Verdict.TROUBLE, required=False, note=note,
    )  # fmt: skip
    return told.StepDone(result)


def test_what_is_chosen_stands_there_before_it_is_opened() -> None:
    state = after(told.InstrumentsChosen("counter", (("", "hall@/dev/ttyACM0"),)), ROLES)
    assert (state.counter.address, state.counter.words(NOW)) == ("hall@/dev/ttyACM0", "Counter: not opened yet")
    assert [one.words(NOW) for one in state.meters] == [
        "Volts: not opened yet", "Amps: not opened yet", "Ohms: not opened yet",
    ]  # fmt: skip


def test_the_desk_knows_what_a_name_of_the_bench_file_means() -> None:
    desk = Desk(BenchFile.model_validate({
        "schema": 1,
        "counter": [{"name": "machine", "use": "hall@/dev/ttyACM3"}],
        "meter": [{"name": "bench", "use": "scpi@/dev/ttyUSB7"}],
    }))  # fmt: skip
    desk.choose_counter("machine")
    desk.choose_meters(("volts=bench", "amps=scpi@/dev/ttyUSB8"))
    assert desk.state.counter.address == "hall@/dev/ttyACM3"
    assert [(one.role, one.address) for one in desk.state.meters] == [
        ("volts", "scpi@/dev/ttyUSB7"), ("amps", "scpi@/dev/ttyUSB8"),
    ]  # fmt: skip
    with pytest.raises(BadInput, match="no role"):
        desk.choose_meters(("watts=bench",))
    desk.close()


def test_a_board_says_who_it_is() -> None:
    state = after(*BEGUN, told.InstrumentSaid("counter", "hall hello turnproof-1 sensors=2 magnets=1 boot=7 board=R1"))
    assert state.counter.identity == "board R1, turnproof-1, 2 sensors, 1 magnet"
    assert board_text("anything else") == "anything else"


def test_a_lost_counter_says_for_how_long_and_what_to_do_until_it_is_back() -> None:
    lost = after(*BEGUN, told.Progressed(progress(10.0)), told.CountEvent(LinkWentAway("gone", NOW)))
    assert lost.counter.words(NOW) == "Counter: lost"
    assert lost.counter.words(NOW + 42.0) == "Counter: lost for 42 s"
    assert lost.counter.words(NOW + 300.0) == "Counter: lost for 5 min"
    assert lost.counter.what_to_do(NOW + 42.0).startswith("Plug its cable in again")
    back = after(told.CountEvent(LinkCameBack(42.0, NOW + 42.0, "/dev/ttyACM1")), start=lost, at=NOW + 42.0)
    assert (back.counter.words(NOW + 42.5), back.counter.what_to_do(NOW + 42.5)) == ("Counter: well", "")
    assert back.counter.address == "hall@/dev/ttyACM1"


def test_a_meter_is_silent_only_while_something_is_waited_for_from_it() -> None:
    idle = after(ROLES, *OPEN)
    assert _of(idle, "volts") == "Volts: well"
    assert idle.meters[0].health(NOW + 600.0) is Health.WELL
    taking = after(TAKING, start=idle)
    assert taking.meters[0].health(NOW + 5.0) is Health.WELL
    assert taking.meters[0].words(NOW + 20.0) == "Volts: silent for 20 s"
    assert taking.meters[1].health(NOW + 20.0) is Health.WELL
    assert "cable" in taking.meters[0].what_to_do(NOW + 20.0)
    shown = after(told.Settling("6.30 V", "settling"), start=taking, at=NOW + 20.0)
    assert (shown.meters[0].last, shown.meters[0].health(NOW + 25.0)) == ("6.30 V", Health.WELL)


def test_a_meter_that_a_person_reads_is_never_called_silent() -> None:
    state = after(told.InstrumentsChosen("meter", (("", "hand"),)), told.InstrumentOpened("meter", "hand"), TAKING)
    assert state.meter.health(NOW + 3600.0) is Health.WELL


def test_a_reading_is_that_of_the_meter_that_took_it() -> None:
    state = after(ROLES, *OPEN, told.Taking("exciting:75", Quantity.CURRENT_AC))
    taken = after(told.ReadingTaken("exciting:75", reading()), start=state)
    assert [one.last for one in taken.meters] == ["", "6.591 V", ""]  # no port of the three: the one waited for


def test_what_was_read_in_an_earlier_sitting_is_no_word_of_a_meter_now() -> None:
    state = after(ROLES, *OPEN, told.ReadingTaken("ratio:ht", reading()))
    assert [one.last for one in state.meters] == ["", "", ""]


def test_a_meter_that_went_away_is_the_one_whose_port_the_trouble_names() -> None:
    state = after(ROLES, *OPEN, TAKING, _trouble(f"ratio:ht: {OPEN[1].address}: the line went away"))
    assert [one.health(NOW) for one in state.meters] == [Health.WELL, Health.LOST, Health.WELL]
    assert state.meters[1].words(NOW + 60.0) == "Amps: lost for 60 s"
    assert state.meters[1].what_to_do(NOW).startswith("Cable in, meter on?")


def test_at_the_end_nothing_is_needed_any_more_but_what_was_lost_is_forgotten() -> None:
    state = after(ROLES, *OPEN, _trouble(f"{LONG}: gone"), told.WorkEnded("test"))
    assert {one.health(NOW) for one in state.meters} == {Health.RESTING}
    assert after(told.WorkEnded("test")).meter.health(NOW) is Health.WAITING


def test_the_strip_has_a_card_for_each_meter(qtbot: QtBot) -> None:
    strip = InstrumentsStrip()
    qtbot.addWidget(strip)
    strip.resize(1256, 74)
    strip.show()
    strip.show_state(after(ROLES, *OPEN), NOW)
    assert [card.health.text() for card in strip.meters if card.isVisible()] == [
        "Volts: well",
        "Amps: well",
        "Ohms: well",
    ]
    strip.show_state(after(), NOW)
    assert [card.health.text() for card in strip.meters if card.isVisible()] == ["Meter: not opened yet"]


def test_a_long_port_keeps_both_its_ends_and_is_told_whole(qtbot: QtBot) -> None:
    card = InstrumentCard()
    qtbot.addWidget(card)
    card.resize(300, 74)
    card.show()
    card.show_instrument(after(ROLES, *OPEN).meters[0], NOW)
    shown = card.where.text()
    assert shown.startswith("scpi@/dev")
    assert shown.endswith("-port0")
    assert "…" in shown
    assert card.where.fits()
    assert (card.where.toolTip(), card.where.accessibleName()) == (LONG, LONG)
    card.resize(1200, 74)
    assert card.where.text() == LONG


def test_a_value_that_changes_with_each_frame_is_shown_five_times_a_second(qtbot: QtBot) -> None:
    card = InstrumentCard()
    qtbot.addWidget(card)
    counter = after(told.InstrumentOpened("counter", "hall@/dev/ttyACM0: open")).counter
    for frame in range(30):
        card.show_instrument(counter.heard(f"{frame}.0 turns", NOW + frame / 30), NOW + frame / 30)
        assert float(card.last.text().split()[0]) >= frame - 7
    last = counter.heard("29.0 turns", NOW + 1.0)
    card.show_instrument(last, NOW + 1.0)
    card.show_instrument(last, NOW + 1.3)
    assert card.last.text() == "29.0 turns"


def test_one_that_is_lost_is_shown_at_once(qtbot: QtBot) -> None:
    card = InstrumentCard()
    qtbot.addWidget(card)
    counter = after(told.InstrumentOpened("counter", "hall@/dev/ttyACM0: open")).counter.heard("8.0 turns", NOW)
    card.show_instrument(counter, NOW)
    card.show_instrument(counter.lost(NOW + 0.05, "Is the cable in?"), NOW + 0.05)
    assert "lost" in card.health.text()
    assert card.what.text() == "Is the cable in?"


def test_what_a_meter_calls_itself_is_text_in_its_tool_tip() -> None:
    assert tip_of("Example Works, METER 4") == "Example Works, METER 4"
    assert tip_of("<img src='x'>a & b") == "<qt>&lt;img src=&#x27;x&#x27;&gt;a &amp; b</qt>"

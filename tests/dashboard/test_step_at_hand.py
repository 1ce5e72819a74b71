"""The step at hand: its steps in a few lines, the reading as it settles, waits, typed values, and what can hurt."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.context import PlannedStep
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Enter, Excite, Wait
from bench.acceptance.suspicion import Suspicion
from bench.dashboard import news as told
from bench.dashboard.acceptance.comparison import Cell, Group
from bench.dashboard.acceptance.conclusions import next_text, to_settle_text
from bench.dashboard.acceptance.live import KEPT_S, Glance, band_of, with_glance
from bench.dashboard.acceptance.steps_rows import in_rows, summary_of
from bench.dashboard.acceptance.value_entry import refusal_in
from bench.dashboard.state import Snapshot
from drivers.reading import Quantity
from tests.dashboard.conftest import Showing
from tests.dashboard.given import CONNECT, FEED, NOW, STATES, TESTING, after, curve, heater_off, job, reading, step

SIZES = [(1280, 800), (1920, 1080), (1180, 700)]
NONE: frozenset[str] = frozenset()


def _group(*verdicts: Verdict | None) -> Group:
    cells = [
        Cell(f"ratio:{number}", None if verdict is None else step(f"ratio:{number}", 1.0, verdict))
        for number, verdict in enumerate(verdicts)
    ]
    return Group("ratio", tuple(cells))


@pytest.mark.parametrize(
    ("verdicts", "sign", "count"),
    [
        ((None, None, None), None, "3"),
        ((Verdict.ACCEPTED, None, None), None, "1/3"),
        ((Verdict.REJECTED, None, None), Verdict.REJECTED, "1/3"),
        ((Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED), Verdict.REJECTED, "1 of 3"),
        ((Verdict.ACCEPTED, Verdict.ACCEPTED), Verdict.ACCEPTED, "2"),
        ((Verdict.ACCEPTED,), Verdict.ACCEPTED, ""),
    ],
)
def test_a_kind_of_steps_is_told_by_its_worst_sign(
    verdicts: tuple[Verdict | None, ...], sign: Verdict | None, count: str
) -> None:
    summary = summary_of(_group(*verdicts), "", NONE)
    assert (summary.signs, summary.count, summary.current) == ((sign,), count, False)


def test_the_kind_at_hand_shows_each_of_its_steps() -> None:
    summary = summary_of(_group(Verdict.ACCEPTED, None, None), "ratio:1", NONE)
    assert (summary.signs, summary.current) == ((Verdict.ACCEPTED, None, None), True)


def test_a_step_that_was_left_out_is_no_step_to_come() -> None:
    assert summary_of(_group(None), "", frozenset({"ratio:0"})).signs == (Verdict.NOT_DONE,)


def test_kinds_go_into_lines_in_their_order() -> None:
    assert in_rows([40.0, 40.0, 40.0], 100.0, 2) == [2, 1]
    assert in_rows([40.0, 40.0, 40.0], 100.0, 1) is None
    assert in_rows([140.0], 100.0, 3) is None


@pytest.mark.parametrize("size", SIZES)
def test_a_hundred_and_twenty_steps_of_thirty_kinds_fit(showing: Showing, size: tuple[int, int]) -> None:
    plan = tuple(PlannedStep(f"kind_number_{kind}:{number}", "x", True) for kind in range(30) for number in range(4))
    begun = told.TestBegun(job(), plan, curve(), 230.0)
    window = showing(after(begun, told.Taking("kind_number_7:2")), size)
    assert window.test.steps.name_size() >= 9


def test_what_is_too_old_leaves_the_trace() -> None:
    glances = with_glance((Glance(0.0, 1.0), Glance(9.0, 2.0)), Glance(KEPT_S + 1.0, 3.0))
    assert [one.value for one in glances] == [2.0, 3.0]


def test_the_band_is_the_meters_own_doubt_round_its_newest_values() -> None:
    glances = (*(Glance(float(at), 6.3, 0.005) for at in range(4)), Glance(5.0, 6.4, 0.005))
    assert band_of(glances) == (6.3, pytest.approx(0.01))
    assert band_of((*glances, Glance(6.0, None))) is None
    assert band_of(()) is None


def _settling(value: float, words: str) -> told.Settling:
    return told.Settling(f"{value:.3f} V", words, value, 0.002, "V")


def test_a_reading_is_shown_settling_with_its_doubt_and_then_as_taken(showing: Showing) -> None:
    begun = after(*TESTING, told.Taking("ratio:heater"))
    window = showing(after(_settling(6.2, "settling"), start=begun))
    panel = window.test.step.reading
    assert (panel.value.text(), panel.doubt.text(), panel.stands.text()) == ("6.200 V", "±4.0 mV", "settling")
    assert panel.trace.isVisible()
    taken = after(told.ReadingTaken("ratio:heater", reading()), start=begun)
    window.show_state(taken, NOW)
    assert (panel.value.text(), panel.stands.text()) == ("6.591 V", "taken: ratio heater")
    # The next thing is asked at once: what was taken stands for a moment all the same, and no longer.
    following = after(told.Asked(FEED), start=taken)
    window.show_state(following, NOW + 1.0)
    assert panel.value.isVisible()
    window.show_state(following, NOW + 5.0)
    assert not panel.value.isVisible()


def test_a_wait_counts_down(showing: Showing) -> None:
    wait = told.Awaits(1, Wait("soak", 1800.0, "Leave it on."))
    state = after(*TESTING, wait)
    window = showing(state)
    value = window.test.step.value
    assert value.text() == "30:00"
    window.show_state(state, NOW + 61.0)
    assert value.text() == "28:59"


@pytest.mark.parametrize(
    ("first", "text", "refused"),
    [
        ("Height?", "'x': expected a length. Height?", "'x': expected a length"),
        ("Height?", "Height?", ""),
        ("Height?", "Once more, leads on anew. Height?", ""),
        ("", "Height?", ""),
    ],
)
def test_what_was_wrong_with_a_value_is_what_its_asking_begins_with(first: str, text: str, refused: str) -> None:
    assert refusal_in(first, text) == refused


def test_a_refused_value_is_said_beside_the_field_and_not_in_what_is_to_be_done(showing: Showing) -> None:
    ask = Enter("stack_height", Quantity.STACK_HEIGHT, "Height of the stack.", "mm")
    asked = after(*TESTING, told.Awaits(1, ask))
    window = showing(asked)
    card = window.test.step
    assert card.entry.unit.text() == "mm"
    again = replace(ask, text="'tall': expected a length such as 45 mm. Height of the stack.")
    window.show_state(after(told.Answered(1), told.Awaits(2, again), start=asked), NOW)
    assert card.entry.problem.text() == "'tall': expected a length such as 45 mm"
    assert card.do.text() == "Height of the stack. Enter it in mm."


def test_a_few_volts_are_not_called_live_and_mains_can_not_be_missed(showing: Showing) -> None:
    low = Excite("ratio", "primary", "primary.start", "primary.finish", 7.6, 50.0, "low voltage", hazard=17.8)
    window = showing(after(*TESTING, told.Asked(low)))
    band = window.test.step.live
    assert band.words.text() == "Low volts: 7.60 V on primary, at most 18 V anywhere"
    window.show_state(STATES["live"], NOW)
    assert band.isVisible()
    assert band.words.text().startswith("LIVE: ")
    off = replace(FEED, volts=0.0, hazard=0.0)
    asked = after(told.Asked(off), start=STATES["live"])
    window.show_state(asked, NOW)
    assert band.words.text() == "LIVE until the volts are at zero"
    window.show_state(after(told.Asked(CONNECT), start=asked), NOW)
    assert not band.isVisible()


def test_cautions_are_there_with_the_request_that_they_belong_to(showing: Showing) -> None:
    card = showing(STATES["live"]).test.step
    assert card.cautions.isVisible()
    assert card.cautions.text().splitlines() == list(FEED.cautions)


def test_a_request_that_is_told_and_then_put_is_one_request() -> None:
    state = after(*TESTING, told.Asked(FEED), told.Awaits(1, FEED, keyless=True))
    assert state.rig == after(*TESTING, told.Asked(FEED)).rig


def test_the_drawing_is_told_in_words_too(showing: Showing) -> None:
    words = showing(STATES["live"]).test.step.diagram.accessibleDescription()
    assert words == "variac on primary.start and primary.finish, 172.5 V; every open end covered"


def _suspected(probability: float) -> Snapshot:
    return after(*TESTING, told.Suspected((Suspicion("core_gap", "", "", probability, "the joints have a gap"),)))


def test_what_would_settle_a_likely_fault_is_told_on_the_way() -> None:
    assert to_settle_text(_suspected(0.8)).startswith("After the test, to settle it: unplugged: tap the laminations")
    assert to_settle_text(_suspected(0.3)) == ""


def test_what_to_measure_next_and_what_it_would_tell_stand_at_the_end(showing: Showing) -> None:
    from bench.acceptance.result import NextStep

    result = replace(heater_off(), next=NextStep("volts of a search coil", "it would tell heater from rectifier"))
    assert next_text(result) == "Measure next: volts of a search coil - it would tell heater from rectifier"
    findings = showing(after(*TESTING, told.Finished(result))).test.findings
    assert findings.following.text() == next_text(result)
    assert next_text(replace(result, verdict=Verdict.ACCEPTED)) == ""


def test_watts_take_the_place_of_amps_where_there_is_room_for_one(showing: Showing) -> None:
    window = showing(STATES["live"])
    view = window.test.exciting
    assert view.one_alone
    assert (view.amps.isVisible(), view.power.isVisible()) == (True, False)
    view.turn()
    assert (view.amps.isVisible(), view.power.isVisible()) == (False, True)
    window.show_state(after(told.Taking("core_watts"), start=STATES["live"]), NOW)
    assert view.power.isVisible()


def test_both_are_shown_at_the_end(showing: Showing) -> None:
    view = showing(STATES["accepted"]).test.exciting
    assert (view.amps.isVisible(), view.power.isVisible()) == (True, True)

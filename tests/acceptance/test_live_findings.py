"""What is said of the readings while a test goes on, and how seldom they are weighed for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.live_findings import LiveFindings
from bench.acceptance.result import StepResult
from bench.acceptance.suspicion import Suspicion, danger_in_words

STEP = StepResult("ratio:heater", "ratio", "turns", "heater", 1.0, "good", "turns", Verdict.ACCEPTED)
REJECTED = replace(STEP, verdict=Verdict.REJECTED)


def shorted(probability: float, winding: str = "heater") -> Suspicion:
    return Suspicion("turns_shorted", winding, "0.02 ohm", probability, f"a turn of {winding} is shorted (0.02 ohm)")


class Weighed:
    """A diagnosis that says what it is told to, after `takes` seconds."""

    def __init__(self, *shares: float, takes: float = 0.1) -> None:
        self.now = 0.0
        self.calls = 0
        self._shares = iter(shares)
        self._takes = takes

    def __call__(self, steps: tuple[StepResult, ...]) -> tuple[Suspicion, ...]:
        self.calls += 1
        self.now += self._takes
        share = next(self._shares)
        return (shorted(share),) if share else ()

    def as_designed(self, steps: tuple[StepResult, ...]) -> bool:
        return False


def told(*shares: float) -> list[str]:
    weighed = Weighed(*shares)
    live = LiveFindings(weighed, lambda: weighed.now)
    return [line for _ in shares for line in live.after(REJECTED, (REJECTED,))[1]]


def test_a_line_comes_where_a_finding_passes_20_50_and_90_percent() -> None:
    assert told(0.1, 0.25, 0.3, 0.55, 0.95, 0.97) == [
        "25% so far: a turn of heater is shorted (0.02 ohm)",
        "55% so far: a turn of heater is shorted (0.02 ohm)",
        "95% so far: a turn of heater is shorted (0.02 ohm)",
    ]


def test_it_is_said_when_one_falls_back_but_not_about_a_level() -> None:
    assert told(0.51, 0.48, 0.51, 0.3, 0.01) == [
        "51% so far: a turn of heater is shorted (0.02 ohm)",
        "back to 30%: a turn of heater is shorted (0.02 ohm)",
        "back to 1%: a turn of heater is shorted (0.02 ohm)",
    ]


def test_one_that_is_no_longer_weighed_is_taken_back() -> None:
    assert told(0.6, 0.0)[1:] == ["no longer suspected: turns shorted"]


def test_a_shorted_turn_is_one_finding_whichever_winding_is_the_likeliest() -> None:
    lines = iter([(shorted(0.6, "heater"),), (shorted(0.6, "primary"),)])
    weighed = Weighed()
    live = LiveFindings(weighed, lambda: 0.0)
    live._weigh = lambda steps: next(lines)  # type: ignore[assignment]
    assert len(live.after(REJECTED, ())[1]) == 1
    assert live.after(REJECTED, ())[1] == ()


def test_weighing_takes_no_more_than_a_tenth_of_the_time() -> None:
    weighed = Weighed(*[0.0] * 100, takes=0.1)
    live = LiveFindings(weighed, lambda: weighed.now)
    for _ in range(100):
        weighed.now += 0.1
        live.after(STEP, (STEP,))
    assert weighed.calls * 0.1 <= 0.12 * weighed.now
    assert weighed.calls >= 5


def test_what_is_not_accepted_is_weighed_at_once() -> None:
    weighed = Weighed(0.0, 0.6, takes=1.0)
    live = LiveFindings(weighed, lambda: weighed.now)
    live.after(STEP, (STEP,))
    assert live.after(STEP, (STEP,)) == ((), ())
    assert live.after(REJECTED, (REJECTED,))[1] == ("60% so far: a turn of heater is shorted (0.02 ohm)",)


@pytest.mark.parametrize(
    ("fault", "winding", "dangerous"),
    [
        ("turns_shorted", "ht", True),
        ("turns_wrong+screen_closed", "ht + screen", True),
        ("insulation_low", "ht", True),
        ("screen_unearthed", "screen", True),
        ("winding_open", "primary", True),
        ("winding_reversed", "primary.tap", True),
        ("winding_open", "heater", False),
        ("winding_reversed", "heater", False),
        ("core_gap", "", False),
        ("reading_wrong", "primary", False),
    ],
)
def test_what_forbids_more_volts(fault: str, winding: str, dangerous: bool) -> None:
    one = Suspicion(fault, winding, "", 0.6, "words")
    assert one.is_dangerous("primary") is dangerous


def test_dangers_are_added_up_and_named_with_their_shares() -> None:
    screen = Suspicion("screen_closed", "screen", "", 0.3, "screen closes on itself")
    assert danger_in_words((shorted(0.3), screen), "primary", 0.5) == (
        "by the readings so far it is 60% probable that a turn of heater is shorted (0.02 ohm) (30%) "
        "or screen closes on itself (30%)"
    )
    assert danger_in_words((shorted(0.3),), "primary", 0.5) == ""

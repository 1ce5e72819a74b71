"""A program that ends at any instant, and a coil that is kept apart from all that counts."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from .desk import PER, Desk

TURNS = st.integers(-40, 160).map(lambda edges: ("turn", edges / PER))
ORDERS = ["hold", "go", "add", "next", "done", "layer", "undo", "back 1", "set 30 counted", "turn"]
WORDS = st.sampled_from(ORDERS).map(lambda line: ("say", line))


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, WORDS), max_size=14), st.data())
def test_a_kill_at_any_instant_changes_nothing(happenings: list[tuple[str, Any]], data: st.DataObject) -> None:
    """Two desks live through the same; at one of them the program is killed and started again at random instants."""
    whole, broken = Desk(), Desk()
    for what, how in happenings:
        for desk in (whole, broken):
            _happen(desk, what, how)
        if data.draw(st.booleans()):
            broken.sit_down()
        for get in LOOKS:
            assert get(broken) == get(whole)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, WORDS), min_size=1, max_size=10))
def test_a_kill_between_two_entries_leaves_the_coil_before_or_after_what_happened(
    happenings: list[tuple[str, Any]],
) -> None:
    desk = Desk()
    for what, how in happenings:
        before, first = desk.turns, len(desk.entries)
        _happen(desk, what, how)
        after = desk.turns
        for cut in range(first, len(desk.entries)):
            other = Desk.killed_after(desk, cut)
            assert other.turns in (before, after)


LOOKS: tuple[Callable[[Desk], Any], ...] = (
    lambda desk: desk.turns,
    lambda desk: desk.session.progress.standing,
    lambda desk: desk.session.progress.left_out,
    lambda desk: desk.session.progress.layer,
    lambda desk: desk.session.progress.next_event,
    lambda desk: [mark.name for mark in desk.session.progress.waiting],
    lambda desk: desk.session.progress.taking_off,
    lambda desk: desk.session.progress.certain,
)


def _happen(desk: Desk, what: str, how: Any) -> None:
    if what == "turn":
        desk.turn(how)
        return
    with contextlib.suppress(ValueError):
        desk.say(how)


class Coil:
    """What is really on the former, by the same happenings: kept apart from all that counts."""

    def __init__(self) -> None:
        self.turns = self.on_hold = 0.0
        self.held = False
        self.sense = 1

    def happen(self, what: str, how: Any) -> None:
        if what == "turn":
            if self.held:
                self.on_hold += how * self.sense
            else:
                self.turns += how * self.sense
            return
        word, *rest = how.split()
        if word in ("set", "back", "turn"):
            self.on_hold = 0.0  # what the spindle did on hold until then is none of the coil's
        match word:
            case "hold":
                self.on_hold = self.on_hold if self.held else 0.0
                self.held = True
            case "go":
                self.held = False
            case "add":
                self.turns += self.on_hold if self.held else 0.0
                self.held = False
            case "set":
                self.turns = float(rest[0])
            case "back":
                self.turns -= float(rest[0])
            case "turn":
                self.sense = -self.sense


COIL_WORDS = st.sampled_from(["hold", "go", "add", "back 1", "set 30 counted", "turn"]).map(lambda line: ("say", line))


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, COIL_WORDS), max_size=14), st.data())
def test_the_count_is_what_is_on_the_former(happenings: list[tuple[str, Any]], data: st.DataObject) -> None:
    desk, coil = Desk(), Coil()
    for what, how in happenings:
        said = True
        try:
            if what == "turn":
                desk.turn(how)
            else:
                desk.say(how)
        except ValueError:
            said = False
        if said:
            coil.happen(what, how)
        if data.draw(st.booleans()):
            desk.sit_down()
        assert desk.turns == coil.turns
        assert desk.session.progress.certain

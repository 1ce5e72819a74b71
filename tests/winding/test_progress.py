"""Where a winding stands, turn by turn and layer by layer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.winding import Role, Tap, Winding
from bench.winding.layers import LayerCount, read_layer
from bench.winding.progress import Progress, Standing, progress_of
from bench.winding.session import WindingSession
from drivers.counting import Bridged, Count

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100, layers=(40, 40, 20), taps=(Tap(name="centre", turn=50),))


def _count(turns: float, low: float | None = None, high: float | None = None) -> Count:
    return Count(turns, turns if low is None else low, turns if high is None else high, 1.0, 0.0, f"line {turns}")


@pytest.mark.parametrize(
    ("turns", "layer", "turn_in_layer", "next_event"),
    [
        (0.0, 1, 0.0, "end of layer 1 in 40.0 turns"),
        (39.5, 1, 39.5, "end of layer 1 in 0.5 turns"),
        (40.0, 2, 0.0, "tap centre in 10.0 turns"),
        (51.0, 2, 11.0, "end of layer 2 in 29.0 turns"),
        (95.0, 3, 15.0, "target in 5.0 turns"),
        (101.0, 3, 21.0, "nothing more to wind"),
        (-2.0, 1, -2.0, "end of layer 1 in 42.0 turns"),
    ],
)
def test_layer_turn_in_it_and_what_comes_next(turns: float, layer: int, turn_in_layer: float, next_event: str) -> None:
    progress = progress_of(WINDING, 100, _count(turns))
    assert (progress.layer, progress.turn_in_layer, progress.next_event) == (layer, turn_in_layer, next_event)


@pytest.mark.parametrize(
    ("count", "standing"),
    [
        (_count(10), Standing.WINDING),
        (_count(91), Standing.NEARLY),
        (_count(99.75), Standing.AT_TARGET),
        (_count(100), Standing.AT_TARGET),
        (_count(100.75), Standing.PAST),
        (_count(98, 97, 100), Standing.UNSURE),
        (_count(100, 99, 101), Standing.UNSURE),
        (_count(50, 48, 52), Standing.WINDING),
        (_count(103, 102, 104), Standing.PAST),
    ],
)
def test_standing_against_the_target(count: Count, standing: Standing) -> None:
    assert progress_of(WINDING, 100, count).standing is standing


@given(st.floats(-50, 300), st.floats(0, 20), st.floats(0, 20))
def test_at_target_is_never_said_of_an_interval_that_reaches_beyond(turns: float, below: float, above: float) -> None:
    progress = progress_of(WINDING, 100, _count(turns, turns - below, turns + above))
    certain_of_it = turns - below >= 99.5 and turns + above <= 100.5
    assert (progress.standing is Standing.AT_TARGET) == certain_of_it


class Source:
    def __init__(self, *polls: Sequence[Any]) -> None:
        self._polls = list(polls)

    def poll(self, timeout_s: float) -> Sequence[Any]:
        return self._polls.pop(0) if self._polls else []

    def snapshot(self) -> dict[str, object] | None:
        return {"edges": 1}


class Told:
    """Keeps in one list what was stored and what was shown, in the order in which it happened."""

    def __init__(self) -> None:
        self.order: list[tuple[str, Any]] = []

    def keep(self, kind: str, body: dict[str, Any]) -> None:
        if kind == "mark":
            return
        self.order.append((f"kept {kind}", body.get("turns", body.get("event"))))

    def progressed(self, progress: Progress) -> None:
        self.order.append(("shown", progress.turns))

    def count_event(self, event: Any) -> None:
        self.order.append(("shown event", type(event).__name__))


def _session(source: Source, told: Told, times: Sequence[float]) -> WindingSession:
    ticks = iter(times)
    return WindingSession(WINDING, 100, source, told.keep, (told,), rest=3.0, clock=lambda: next(ticks))


def test_what_happens_is_kept_before_it_is_shown() -> None:
    told = Told()
    source = Source([_count(1)], [Bridged(2, "two lines", 0.0), _count(4)], [_count(100)])
    result = _session(source, told, [0.0, 1.0, 2.0, 3.0, 5.5]).run()
    assert result.met
    assert told.order == [
        ("kept count", 1), ("shown", 1),
        ("kept count event", "Bridged"), ("shown event", "Bridged"), ("kept count", 4), ("shown", 4),
        ("kept count", 100), ("shown", 100),
    ]  # fmt: skip


def test_lines_that_come_together_are_one_entry() -> None:
    told = Told()
    _session(Source([_count(n) for n in range(60)], [_count(100)]), told, [0.0, 1.0, 4.5]).run()
    assert [what for what, _ in told.order] == ["kept count", "shown", "kept count", "shown"]


def test_a_winder_that_overruns_and_comes_back_ends_at_rest() -> None:
    told = Told()
    source = Source([_count(100)], [_count(102)], [_count(100)])
    result = _session(source, told, [0.0, 1.0, 2.0, 3.0, 4.0, 6.5]).run()
    assert result.met
    assert [value for what, value in told.order if what == "shown"] == [100, 102, 100]


def test_typed_layers_add_up_and_may_be_taken_back() -> None:
    count = LayerCount(WINDING, 100).with_layer(41).with_layer(-1).with_layer(40)
    assert (count.turns, count.layers_done) == (80, 2)
    assert count.said() == "80 turns in 2 layers, 20 to go"
    assert count.question() == "ht, turns in layer 3 (sheet: 20)"


def test_typed_layers_that_differ_from_the_sheet_are_told() -> None:
    assert LayerCount(WINDING, 100).with_layer(38).said().endswith("the sheet has 40 here, -2")


@pytest.mark.parametrize("text", ["", "eighty", "0", "1e9", "nan", "inf", "-101"])
def test_what_is_no_layer_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        read_layer(text, 100)

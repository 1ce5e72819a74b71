"""Where a winding stands by its record, folded from the entries: what a program that ended anyhow goes on from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

__all__ = ["Hold", "WindingState", "counted_last", "state_of"]

_ON_IT_AGAIN = ("winding begun", "count", "layer", "correction")


@dataclass(frozen=True)
class Hold:
    """The count stands while the spindle may turn: turns, low, high of the coil then, and why."""

    turns: float
    low: float
    high: float
    why: str


@dataclass(frozen=True)
class WindingState:
    """One winding, from its beginning to now.

    target;  turns on the coil, with the truth in [low, high];  counter: what a counter needs to go on, None where the
    last that is known was typed;  counted: whether a counter ever counted;  hold: None while it goes on;
    by_dial: whether the last that was typed was read off a dial;  left_in_order: whether the last go ended by a word;
    reached, settled: names of the marks that were reached, and of those that were done;  layer_ends: turns at which
    layers were full;  typed: turns typed, in so many layers;  goes: how often somebody sat down to it;  done: its turns
    when it was finished before, None while it never was;  checks: bodies of its checks.
    """

    winding: str
    target: int | None = None
    turns: float = 0.0
    low: float = 0.0
    high: float = 0.0
    counter: Mapping[str, Any] | None = None
    counted: bool = False
    hold: Hold | None = None
    reached: tuple[str, ...] = ()
    settled: tuple[str, ...] = ()
    layer_ends: tuple[float, ...] = ()
    typed: float = 0.0
    typed_layers: int = 0
    goes: int = 0
    taking_off: bool = False
    by_dial: bool = False
    left_in_order: bool = False
    begun: bool = False
    done: float | None = None
    done_at: str = ""
    checks: tuple[Mapping[str, Any], ...] = field(default=())

    @property
    def waiting(self) -> tuple[str, ...]:
        """Marks that were reached and are not done."""
        return tuple(name for name in self.reached if name not in self.settled)

    def after(self, kind: str, body: Mapping[str, Any], at: str = "") -> WindingState:
        """The state after one more entry of this winding; an entry of another kind changes nothing."""
        match kind:
            case "winding begun":
                return WindingState(
                    self.winding, target=body.get("target"), begun=True, done=self.done, done_at=self.done_at
                )
            case "winding go":
                if body.get("left"):
                    return replace(self, left_in_order=True)
                goes, target = self.goes + 1, body.get("target", self.target)
                return replace(self, goes=goes, begun=True, target=target, left_in_order=False)
            case "count":
                if self.hold is not None:
                    return replace(self, counter=body.get("counter"), counted=True, begun=True)
                return replace(self._at(body), counted=True)
            case "correction":
                after = self._at(body)
                if self.hold is None:
                    return after
                # where the coil stands was said, and with it that what the spindle did on hold until then is settled
                return replace(after, hold=Hold(*after._interval, self.hold.why))
            case "hold":
                hold = None
                if body.get("held"):
                    hold = Hold(*self._at(body)._interval, str(body.get("why", "")))
                return replace(self._at(body), hold=hold)
            case "mark":
                return self._marked(body)
            case "layer":
                return self._layer(body)
            case "winding check":
                return replace(self, checks=(*self.checks, body))
            case "winding done":
                return WindingState(self.winding, done=float(body["turns"]), done_at=at, checks=self.checks)
        return self

    @property
    def _interval(self) -> tuple[float, float, float]:
        return self.turns, self.low, self.high

    def _at(self, body: Mapping[str, Any]) -> WindingState:
        turns = float(body["turns"])
        low, high = _bound(body.get("low", turns), -math.inf), _bound(body.get("high", turns), math.inf)
        sense = bool(body.get("taking_off", self.taking_off))
        return replace(self, turns=turns, low=low, high=high, counter=body.get("counter"), begun=True, taking_off=sense)

    def _marked(self, body: Mapping[str, Any]) -> WindingState:
        name, what = str(body["mark"]), body["what"]
        if what == "reached":
            return self if name in self.reached else replace(self, reached=(*self.reached, name))
        if what == "layer end":
            return replace(
                self,
                layer_ends=tuple(float(end) for end in body["ends"]),
                reached=(*self.reached, name) if name not in self.reached else self.reached,
            )
        if what == "layer end undone":
            without = self._without_mark(name)
            return replace(without, layer_ends=tuple(float(end) for end in body["ends"]))
        if what == "ahead again":
            return self._without_mark(name)
        return self if name in self.settled else replace(self, settled=(*self.settled, name))

    def _without_mark(self, name: str) -> WindingState:
        """As if the mark had not been reached, and so not done."""
        reached, settled = (tuple(one for one in names if one != name) for names in (self.reached, self.settled))
        return replace(self, reached=reached, settled=settled)

    def _layer(self, body: Mapping[str, Any]) -> WindingState:
        turns = float(body["turns"])
        on = float(body.get("total", self.turns + turns))
        is_layer = turns > 0 and not body.get("dial")
        # layers add to what was unsure before; a dial, or a count, says it anew
        low, high = (on, on) if body.get("dial") else (self.low + turns, self.high + turns)
        return replace(
            self,
            turns=on,
            low=low,
            high=high,
            counter=None,
            begun=True,
            by_dial=bool(body.get("dial")),
            typed=self.typed + turns,
            typed_layers=self.typed_layers + (1 if is_layer else 0),
            layer_ends=_with_end(self.layer_ends, on) if is_layer else self.layer_ends,
        )


def state_of(winding: str, entries: Iterable[tuple[str, Mapping[str, Any], str]]) -> WindingState:
    """The state of a winding by (kind, body, time) of a job's entries, oldest first."""
    state = WindingState(winding)
    for kind, body, at in entries:
        if body.get("winding") == winding:
            state = state.after(kind, body, at)
    return state


def counted_last(entries: Iterable[tuple[str, Mapping[str, Any]]]) -> dict[str, Mapping[str, Any]]:
    """How each winding ended when it was finished last, by its name.  entries: kind and body of a job's, oldest first.

    One that was gone on with since, or begun anew, lacks: what it ended with then is no count of what is on the former.
    """
    found: dict[str, Mapping[str, Any]] = {}
    for kind, body in entries:
        if kind in _ON_IT_AGAIN:
            found.pop(str(body.get("winding", "")), None)
        elif kind == "winding done":
            found[str(body.get("winding", ""))] = body
    return found


def _with_end(ends: tuple[float, ...], turns: float) -> tuple[float, ...]:
    """One more layer is full; ends that turns taken back have undone are forgotten."""
    return (*(end for end in ends if end < turns), turns)


def _bound(kept: Any, where_none: float) -> float:
    return where_none if kept is None else float(kept)

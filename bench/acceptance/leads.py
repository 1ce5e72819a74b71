"""How the leads lie and what is live: none is moved, and no circuit changed, above the volts that can hurt."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field, replace
from typing import Any

from bench.acceptance.requests import Connect, Due, Excite, Load, Request, Skipped, Stopped, Take, Trouble
from drivers.reading import Quantity, Reading

__all__ = ["HANDS_OFF_VOLTS", "Leads", "Steps"]

HANDS_OFF_VOLTS = 25.0
"""Leads are not moved, and nothing is touched, above these volts between any two terminals (common practice; below the
50 V of the extra-low-voltage rules, since a transformer's kick adds to it)."""

Steps = Generator[Request, Any, None]


@dataclass
class Leads:
    """State of what is connected and fed while a procedure runs.

    beside: leads of another meter that stay where they are;  unconfirmed: whether the volts that were asked for last
    came up is not known;  circuit: what was fed last, with what stood in series then;  loads: by winding.
    """

    connected: Connect | None = field(default=None, kw_only=True)
    beside: Connect | None = field(default=None, kw_only=True)
    excited: Excite | None = field(default=None, kw_only=True)
    unconfirmed: bool = field(default=False, kw_only=True)
    circuit: Excite | None = field(default=None, kw_only=True)
    loads: dict[str, Load] = field(default_factory=dict, kw_only=True)

    @property
    def live_volts(self) -> float:
        """The most volts between any two terminals now."""
        return 0.0 if self.excited is None or self.excited.volts == 0 else self.excited.hazard

    def connect(self, request: Connect) -> Steps:
        """Move the leads, with the volts at zero first where they could hurt."""
        if self.connected is not None and _same_place(self.connected, request):
            return
        if self.live_volts > HANDS_OFF_VOLTS:
            yield from self.switch_off(request.step)
        request = self.placed(request)
        yield request
        self.connected = request

    def placed(self, request: Connect) -> Connect:
        """The request as it is asked, with what must be told where the leads are moved."""
        return request

    def excite(self, request: Excite) -> Steps:
        """Feed the winding; the circuit behind the source is changed only with the volts at zero."""
        now = self.excited
        if now is not None and _same_feed(now, request) and not self.unconfirmed:
            return
        if now is not None and now.volts > 0 and (self.unconfirmed or not _same_circuit(now, request)):
            yield from self.switch_off(request.step)
            now = None
        request = replace(self.cautioned(request), text=_what_comes_out(self.circuit, request))
        try:
            yield request
        except (Skipped, Stopped, Trouble):
            # Nobody said whether the volts came up: they count as live until they are confirmed to be at zero.
            self.excited = request if now is None or request.hazard > now.hazard else now
            self.unconfirmed = True
            self.circuit = request
            raise
        self.excited = self.circuit = request

    def cautioned(self, request: Excite) -> Excite:
        """The request as it is asked: what must be told with it is told then, not when it was planned."""
        return request

    def switch_off(self, step: str, text: str = "") -> Steps:
        """Volts to zero, if there are any; `text` says how, where that matters."""
        fed = self.excited
        if fed is not None and fed.volts > 0:
            off = replace(fed, step=step, volts=0.0, limiter=False, series_ohms=None, hazard=0.0, cautions=())
            yield replace(off, text=text)
            self.excited = None
            self.unconfirmed = False

    def load(self, request: Load) -> Steps:
        """Hang a load on a winding or take it off, with the volts at zero first where they could hurt."""
        now = self.loads.get(request.winding)
        if (None if now is None else now.ohms) == request.ohms:
            return
        if self.live_volts > HANDS_OFF_VOLTS:
            yield from self.switch_off(request.step)
        yield request
        if request.ohms is None:
            self.loads.pop(request.winding, None)
        else:
            self.loads[request.winding] = request

    def unload(self, step: str) -> Steps:
        """All loads off, with the volts at zero first."""
        for load in list(self.loads.values()):
            yield from self.load(replace(load, step=step, ohms=None, amps=0.0, watts=0.0, text="", cautions=()))

    def take(
        self, step: str, quantity: Quantity, expected: float | None, samples: int = 1, due: Due | None = None
    ) -> Generator[Request, Any, Reading]:
        """One settled reading of what is connected; `due` tells whether the leads lie where they should."""
        reading = yield Take(step, quantity, expected, samples, due)
        assert isinstance(reading, Reading)
        return reading


def _same_place(one: Connect, other: Connect) -> bool:
    """Whether nothing is to be done from one reading of a step of the procedure to the next."""
    first, second = (
        (place.quantity, place.from_terminal, place.to_terminal, place.links, place.text, place.step.partition(":")[0])
        for place in (one, other)
    )
    return first == second


def _what_comes_out(before: Excite | None, now: Excite) -> str:
    """The text of a feed, with what stood in series at the one before and has to come out first."""
    out = []
    if before is not None and before.limiter and not now.limiter:
        out.append("the limiter")
    if before is not None and before.series_ohms is not None and now.series_ohms is None:
        out.append(f"the {before.series_ohms:g} ohm resistor")
    first = f"First take {' and '.join(out)} out of the circuit." if out else ""
    return f"{first} {now.text}".strip()


def _same_circuit(one: Excite, other: Excite) -> bool:
    return (one.source, one.limiter, one.series_ohms, one.winding) == (
        other.source,
        other.limiter,
        other.series_ohms,
        other.winding,
    )


def _same_feed(one: Excite, other: Excite) -> bool:
    return _same_circuit(one, other) and one.volts == other.volts

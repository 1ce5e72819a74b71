"""What is joined to the unit, by what was asked for so far: meters, feed, loads, earth, and which of it is new."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Wait
from drivers.reading import Quantity

__all__ = ["Part", "Rig"]

_BARE = frozenset({"start", "resumed", "hipot", "polarity", "sums", "refit", "leave"})
"""Steps whose Confirm says that nothing, or no link any more, is on the unit."""
_EARTHED = frozenset({"earthed", "resumed:covered", "first_power"})
"""Steps whose Confirm says that core and screens are joined to earth."""
_COVERED = frozenset({"resumed:covered", "first_power"})
_BESIDE = frozenset({Quantity.VOLTAGE_AC, Quantity.CURRENT_AC})


class Part(StrEnum):
    """What of the rig is to be seen to now."""

    NOTHING = ""
    METER = "meter"
    FEED = "feed"
    OFF = "volts to zero"
    LOAD = "load"
    TESTER = "tester"
    EARTH = "earth"
    COVER = "cover"


@dataclass(frozen=True)
class Rig:
    """meters: where they lie, the newest last;  feed: None while nothing is fed;  tester: the two bodies that a tester
    is put between, `rest` for all the others tied together;  at_once: volts and amps have a meter each."""

    meters: tuple[Connect, ...] = ()
    feed: Excite | None = None
    loads: tuple[Load, ...] = ()
    tester: tuple[str, str] | None = None
    earthed: bool = False
    now: Part = Part.NOTHING
    at_once: bool = False

    @property
    def live(self) -> bool:
        """Whether volts are on that can hurt, or are asked for; asked to zero, they are on until the next request."""
        return self.feed is not None and self.feed.hazard > HANDS_OFF_VOLTS

    @property
    def covers(self) -> bool:
        """Whether open ends have to be covered."""
        return self.live or self.now is Part.COVER

    def after(self, request: OperatorRequest) -> Rig:
        """The rig when this is asked for: what it asks for is drawn as if it were there."""
        was = replace(self, now=Part.NOTHING, feed=None if self.now is Part.OFF else self.feed)
        match request:
            case Connect():
                return was._with_meter(request)
            case Enter(reading_of=Connect() as place):
                return was._with_meter(place)
            case Enter(between=(one, other)):
                return replace(was, tester=(one, other), meters=(), now=Part.TESTER)
            case Excite(volts=0.0):
                return replace(was, now=Part.OFF)
            case Excite():
                return replace(was, feed=request, tester=None, now=Part.FEED)
            case Load():
                return was._with_load(request)
            case Confirm(step=step):
                return was._confirmed(step)
            case Enter() | Wait():
                return was

    def _with_meter(self, place: Connect) -> Rig:
        beside = tuple(
            one for one in self.meters
            if self.at_once and one.quantity is not place.quantity and {one.quantity, place.quantity} <= _BESIDE
        )  # fmt: skip
        return replace(self, meters=(*beside, place), tester=None, now=Part.METER)

    def _with_load(self, load: Load) -> Rig:
        others = tuple(one for one in self.loads if one.winding != load.winding)
        return replace(self, loads=others if load.ohms is None else (*others, load), now=Part.LOAD)

    def _confirmed(self, step: str) -> Rig:
        if step in _BARE or step.endswith(":danger"):
            return Rig(earthed=self.earthed and step != "start", at_once=self.at_once)
        earthed = self.earthed or step in _EARTHED
        now = Part.COVER if step in _COVERED else Part.EARTH if step == "earthed" else Part.NOTHING
        return replace(self, tester=None, earthed=earthed, now=now)

"""The exciting current of a unit as found, point by point, each kept as soon as it is typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from bench.cli.asking import Asking, Kept
from bench.job.fields import Amps, Volts, Watts
from bench.quantities import Dimension, parse
from bench.survey.plausible import doubt_of_amps, doubt_of_fed_volts, doubt_of_watts

if TYPE_CHECKING:
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["ReadingCurve"]

_SAME_VOLTS = 0.005


class ReadingCurve:
    """Asks for points of one winding's curve at one frequency until there are no more; raises Stopped."""

    def __init__(
        self,
        asking: Asking,
        keep: Callable[[str, dict[str, Any]], None],
        known: Callable[[], KnownSoFar],
        fed: str,
        frequency: str,
    ) -> None:
        self._asking = asking
        self._keep = keep
        self._known = known
        self._fed = fed
        self._frequency = frequency

    def read(self) -> None:
        points = self._points()
        if points:
            standing = "; ".join(f"{one['voltage']} {one['current']}" for one in points)
            self._asking.say(f"Kept already: {standing}. The same volts once more replace a point.")
        found = self._known().gathered.found
        while True:
            volts = self._asking.value(
                f"volts on {self._fed} (Enter when there are no more)",
                Volts,
                bare="V",
                doubt=lambda volts: doubt_of_fed_volts(found, self._fed, volts),
                kept=self._last,
            )
            if volts is None:
                return
            self._point(volts)

    def _point(self, volts: str) -> None:
        at = parse(volts, Dimension.VOLTAGE)
        amps = self._asking.value(
            f"  current at {volts} (such as 46.2 mA)", Amps, doubt=lambda amps: doubt_of_amps(at, amps, self._near(at))
        )
        if amps is None:
            return
        taken = parse(amps, Dimension.CURRENT)
        watts = self._asking.value(
            "  watts, where you can read them (such as 2.8 W)", Watts,
            doubt=lambda watts: doubt_of_watts(at, taken, watts),
        )  # fmt: skip
        told = {} if watts is None else {"power": watts}
        body = {"part": "exciting", "fed": self._fed, "frequency": self._frequency, "voltage": volts, "current": amps}
        self._keep("as found", {**body, **told})

    def _points(self) -> list[Mapping[str, Any]]:
        """The record's points of this curve, in the order in which they were typed."""
        hertz = f"{parse(self._frequency, Dimension.FREQUENCY):g}"
        bodies = self._known().gathered.bodies
        return [body for key, body in bodies.items() if key[:3] == ("exciting", self._fed, hertz)]

    def _last(self) -> Kept | None:
        points = self._points()
        if not points:
            return None
        point = points[-1]
        words = f"{point['voltage']} {point['current']}"
        which = {key: point[key] for key in ("part", "fed", "frequency", "voltage")}
        return Kept(words, lambda: self._keep("as found", {**which, "withdrawn": words}), "- withdraws {}")

    def _near(self, at: float) -> tuple[float, float] | None:
        """Volts and amps of the point that lies next, other than the one at these volts."""
        others = [
            (parse(str(one["voltage"]), Dimension.VOLTAGE), parse(str(one["current"]), Dimension.CURRENT))
            for one in self._points()
        ]
        others = [one for one in others if abs(one[0] / at - 1) > _SAME_VOLTS]
        return min(others, key=lambda one: abs(one[0] / at - 1), default=None)

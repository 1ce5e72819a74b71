"""Watches a meter until its reading stands still where it should, so that it is taken with nobody's hand at a key."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass

from bench.acceptance.lead_check import Look, Seems, where_the_leads_seem
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Take
from drivers.meter_profile import MeterRange
from drivers.reading import Quantity, Reading
from drivers.settling import NeverSettles, NotYet, Outcome, Settled, Settling, Still

__all__ = ["MACHINE", "PERSON", "Patience", "Seen", "watch"]

# What a supply, and the copper under somebody's warm hand, may move; common practice, no source.
_DRIFT = 2e-4  # of the value, a second
_WOBBLE = 3e-3  # of the value, standard deviation, of what is fed
_TURNED = 0.1  # of the value: somebody is turning a dial or moving a lead
_STANDS = 0.01
_WANDERS = 3  # times as long as it should stand still
_UNSEEN = math.nan
_DIAL = "standing still: waiting for the volts to be turned up"
_FED = (Quantity.VOLTAGE_AC, Quantity.CURRENT_AC)


@dataclass(frozen=True)
class Patience:
    """How long to wait, s.

    settle: for a reading to stand still;  wrong: for leads that look wrong to be put right, anew with each change;
    rise: for somebody to bring up the volts, where nobody confirms that they are up;  stand: so long it must then have
    stood still.
    """

    settle: float = 15.0
    wrong: float = 0.0
    rise: float = 0.0
    stand: float = 0.0


MACHINE = Patience()
"""Whoever says `done` has done it: what looks wrong is read as it is."""

PERSON = Patience(wrong=15.0, rise=90.0, stand=3.0)
"""A person at the bench, who presses no key while the unit is live."""

Seen = Callable[[float | None, str], None]
"""Told each value [SI], None for overload or no value, with how it stands in words."""


def watch(
    glance: Callable[[], Reading],
    take: Take,
    here: MeterRange,
    live_volts: float,
    patience: Patience,
    seen: Seen,
    clock: Callable[[], float] = time.monotonic,
) -> float:
    """Glance until the reading stands still where it should, or patience ends; the scatter to be kept with it, SI.

    live_volts: the most on any terminal. What looks wrong is told in words, never with an order to move a lead while
    more than 25 V are on. Ends within a bounded time whatever the meter shows. Raises what `glance` raises.
    """
    settling = _Watch(take, here, live_volts, patience, seen, clock)
    while not settling.done:
        settling.look(glance())
    return settling.scatter


class _Watch:
    def __init__(
        self,
        take: Take,
        here: MeterRange,
        live_volts: float,
        patience: Patience,
        seen: Seen,
        clock: Callable[[], float],
    ) -> None:
        self._take, self._patience, self._seen, self._clock = take, patience, seen, clock
        self._live = live_volts > HANDS_OFF_VOLTS
        self._here = here
        self._machine: Settling | None = None
        self._began = clock()
        self._changed = self._began  # when what is shown last changed by much
        self._level: float | None = _UNSEEN
        self._moved = False  # since the watch began
        self._stood: tuple[float, float | None] | None = None
        self._right_since: float | None = None
        self.scatter = 0.0
        self.done = False

    def look(self, reading: Reading) -> None:
        now = self._clock()
        self._notice(reading.value, now)
        if self._machine is None:
            self._machine = Settling(self._still(reading.value))
        outcome = self._machine.feed(reading.value, now, reading.state)
        look = where_the_leads_seem(reading.quantity, reading.state, reading.value, self._take.due)
        if isinstance(outcome, NotYet):
            self._seen(reading.value, look.words or ("settling" if self._stood is None else "standing still"))
            return
        self._keep(outcome)
        if look.right and self._stands(outcome, now) and self._arrived(reading.value, now):
            self._seen(reading.value, "settled" if isinstance(outcome, Settled) else self._why(outcome))
            self.done = True
        elif not look.right and now >= self._until(look):
            self._seen(reading.value, f"taken as it is: {look.words}")
            self.done = True
        else:
            waits = "standing still" if self._arrived(reading.value, now) else _DIAL
            self._seen(reading.value, self._advice(look) if not look.right else waits)
            self._machine = None

    def _still(self, value: float | None) -> Still:
        size = abs(self._take.expected or value or 0.0)
        wobble = _WOBBLE * size if self._take.quantity in _FED else 0.0
        return Still(self._here.noise, self._here.resolution, _DRIFT * size, wobble, self._patience.settle)

    def _notice(self, value: float | None, now: float) -> None:
        """Whether somebody is turning a dial or moving a lead: by a tenth since it last stood."""
        if self._level is not _UNSEEN and (value is None) == (self._level is None):
            if value is None or self._level is None:
                return
            size = max(abs(value), abs(self._level))
            # Hum moves by all of itself.
            if abs(value - self._level) <= _TURNED * size or size <= _TURNED / 3 * abs(self._take.expected or 0.0):
                return
        self._moved = self._moved or self._level is not _UNSEEN
        self._level, self._changed = value, now

    def _arrived(self, value: float | None, now: float) -> bool:
        """Whether the dial was turned since the volts were asked for, where any volts may be right: behind a limiter
        those of the step before stand just as still.  What is near to what is due need not have moved."""
        due = self._take.due
        if not (self._live and self._patience.rise) or due is None or due.low > 0 or not due.value:
            return True
        near = value is not None and abs(value - due.value) <= _TURNED * due.value
        return near or self._moved or now - self._began >= self._patience.rise

    def _stands(self, outcome: Outcome, now: float) -> bool:
        """Whether it has stood still long enough: a dial that rests half way up is no reading."""
        if not (self._live and self._patience.stand):
            return True
        level = outcome.value if isinstance(outcome, (Settled, NeverSettles)) else None
        if self._stood is None or not _same(self._stood[1], level):
            self._stood = (now, level)
        if self._right_since is None or self._changed > self._right_since:
            self._right_since = now
        # A supply that wanders is read all the same, its drift being the business of the references.
        wandered = now - self._right_since >= _WANDERS * self._patience.stand
        return wandered or now - self._stood[0] >= self._patience.stand

    def _until(self, look: Look) -> float:
        last = self._began + self._longest
        if self._live and look.seems is Seems.NOTHING:
            return min(last, self._changed + max(self._patience.wrong, self._patience.rise))
        return min(last, self._changed + self._patience.wrong)

    @property
    def _longest(self) -> float:
        return 4 * self._patience.wrong + (2 * self._patience.rise if self._live else 0.0)

    def _advice(self, look: Look) -> str:
        if self._live and look.seems is Seems.NOTHING:
            return f"{look.words}. Waiting for the volts; volts to zero before you look at the leads"
        if self._live:
            return f"{look.words}. Volts to zero first, then look at the leads; or leave it, and it is read as it is"
        return f"{look.words}. Look at both clips; or leave it, and it is read as it is"

    def _keep(self, outcome: Outcome) -> None:
        self.scatter = outcome.scatter if isinstance(outcome, (Settled, NeverSettles)) else 0.0

    def _why(self, outcome: Outcome) -> str:
        assert isinstance(outcome, NeverSettles)
        return f"never settled, {outcome.in_words(self._take.quantity.unit)}: kept with its whole scatter"


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= _STANDS * max(abs(one), abs(other))

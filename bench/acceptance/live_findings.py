"""When the readings of a running test come to speak for a fault, or no longer do: what is worth a line at the bench."""

from __future__ import annotations

import time
from collections.abc import Callable

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.acceptance.suspicion import Suspicion, Weigh

__all__ = ["LiveFindings"]

_LEVELS = (0.2, 0.5, 0.9)
# Falls back only when it is clearly under a level: else two readings about it would say it again and again.
_CLEARLY = 0.05
# Of the time at the bench that may go into weighing, so that a rehearsal at forty times life is not held up.
_SHARE_OF_TIME = 0.1
_AT_ONCE = (Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE)


class LiveFindings:
    """Weighs the readings after a step, and tells what passed 20, 50 or 90 %, or fell back.

    weigh: the faults that the readings speak for, nothing new where no new number came;  clock [s].  A step that is not
    accepted is weighed at once, others as often as a tenth of the time bears: seldom later than the next reading.
    """

    def __init__(self, weigh: Weigh, clock: Callable[[], float] = time.monotonic) -> None:
        self._weigh = weigh
        self._clock = clock
        self._levels: dict[tuple[str, str], int] = {}
        self._not_before = clock()

    def after(self, result: StepResult, steps: tuple[StepResult, ...]) -> tuple[tuple[Suspicion, ...], tuple[str, ...]]:
        """What is suspected now and what is worth saying of it, both empty where nothing is.

        steps: all results so far, `result` the last.
        """
        begun = self._clock()
        if begun < self._not_before and result.verdict not in _AT_ONCE:
            return (), ()
        suspicions = self._weigh(steps)
        ended = self._clock()
        self._not_before = ended + (ended - begun) * (1 / _SHARE_OF_TIME - 1)
        said = tuple(self._said(suspicions))
        return (suspicions, said) if said else ((), ())

    def _said(self, suspicions: tuple[Suspicion, ...]) -> list[str]:
        lines = []
        now = {one.place: one for one in suspicions}
        for place, one in now.items():
            before = self._levels.get(place, 0)
            level = _level(one.probability, before)
            if level > before:
                lines.append(f"{one.probability:.0%} so far: {one.words}")
            elif level < before:
                lines.append(f"back to {one.probability:.0%}: {one.words}")
            self._levels[place] = level
        for place in [place for place, level in self._levels.items() if level and place not in now]:
            # Two faults at once are no longer weighed where one alone explains the readings.
            lines.append(f"no longer suspected: {place[0].replace('_', ' ').replace('+', ' and ')} {place[1]}".strip())
            del self._levels[place]
        return lines


def _level(probability: float, before: int) -> int:
    """How many levels are passed; one passed before is left only when it is clearly fallen under."""
    return sum(
        probability >= (bound - _CLEARLY if number <= before else bound) for number, bound in enumerate(_LEVELS, 1)
    )

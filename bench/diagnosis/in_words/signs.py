"""What the readings say that are a yes or a no: insulation, screens, and the supply."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.in_words.seen import Said, Seen, listed
from bench.quantities import show

__all__ = ["patterns"]

_U_OPEN_SCREEN = 0.01
"""Of one turn between the ends of an open screen (common practice, no source)."""


def patterns(seen: Seen) -> Iterator[Said]:
    yield from _insulation([one for one in seen.judged if one.id.startswith("insulation:")])
    for step in seen.judged:
        if step.quantity == "screen_volts":
            yield from _closed(step)
        elif step.id == f"earthed:{step.winding}" or step.id.startswith("screen_foil:"):
            yield from _unearthed(seen, step)
        elif step.id == "frequency" and step.verdict is Verdict.REJECTED:
            yield from _supply(step)


def _insulation(steps: list[StepResult]) -> Iterator[Said]:
    """Each body to all the rest: low between two shows from both sides, low to the core from one."""
    to_the_rest = [one for one in steps if one.id == f"insulation:{one.winding}" and one.measured is not None]
    low = [one for one in to_the_rest if one.verdict is Verdict.REJECTED]
    if not low:
        return
    names = listed(one.winding for one in low)
    worst = show(min(one.measured or 0.0 for one in low), "ohm", 2)
    if len(low) == len(to_the_rest) > 2:
        said = f"all bodies read low ({worst}): the whole unit is damp, or the leads of the tester are"
    elif len(low) == 1:
        said = f"{names} alone reads low ({worst}), the rest is high: it is to the core"
    elif len(low) == 2:
        said = f"{names} read low ({worst}), the rest is high: it is between these two"
    else:
        said = f"{names} read low ({worst}), the rest is high: it is among these"
    yield Said(said, "insulation_low")


def _closed(step: StepResult) -> Iterator[Said]:
    if step.measured is not None and step.measured < 1 - 2 * math.hypot(step.u, _U_OPEN_SCREEN):
        yield Said(
            f"between the ends of {step.winding} stand {step.measured:.2f} of a turn's volts, an open screen shows a "
            "whole turn's: it closes on itself",
            "screen_closed",
            step.winding,
        )


def _unearthed(seen: Seen, step: StepResult) -> Iterator[Said]:
    if step.verdict is Verdict.REJECTED and step.winding in {one.name for one in seen.job.screen}:
        ohms = "nothing passes" if step.measured is None else show(step.measured, "ohm", 2)
        yield Said(
            f"{step.label}: {ohms}, a joined one shows less than an ohm or so: the lead does not reach the foil",
            "screen_unearthed",
            step.winding,
        )


def _supply(step: StepResult) -> Iterator[Said]:
    if step.measured is not None and step.expected:
        yield Said(
            f"the supply reads {show(step.measured, 'Hz')} where the job says {show(step.expected, 'Hz')}: no reading "
            "of the core is the design's then",
            "supply_wrong",
        )

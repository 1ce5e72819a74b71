"""Ohms of a closed turn that the watts beyond the design's tell, where they were read sharply."""

from __future__ import annotations

from bench.diagnosis.hypothesis import Case

__all__ = ["contacts_told"]

_DOUBTS = (-1.5, -0.5, 0.5, 1.5)


def contacts_told(case: Case, turn_ohms: float, most: float) -> list[float]:
    """Contacts [ohm] up to `most` that would close a turn of so many ohms and take what the core's watts show too much.

    Some about the one that is told, as far as steel and reading leave it open: a grid of sizes has holes where a loop
    of few milliohms takes watts that are known to a hundredth.
    """
    curve, found = case.design.curve, set()
    if curve is None:
        return []
    for step in case.steps:
        if step.quantity != "power" or step.measured is None or not step.at_volts:
            continue
        due = curve.watts_at(step.at_volts)
        doubt = due * curve.u_log_watts_at(step.at_volts) + step.u
        for times in _DOUBTS:
            more = step.measured - due + times * doubt
            if more <= 0:
                continue
            contact = (step.at_volts / abs(case.design.fed_span.turns)) ** 2 / more - turn_ohms
            if 0 < contact < most:
                found.add(contact)
    return sorted(found)

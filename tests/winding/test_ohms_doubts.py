"""How far ohms can be trusted: draws of everything that is not known, alone and beside a winding of the same reel."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.design.plan import PlannedWinding, plan_of
from bench.estimate import Estimate
from bench.job.model import Job
from bench.job.wire import parse_wire
from bench.winding.check_values import Conclusion, Counted
from bench.winding.ohms_doubts import Reference
from bench.winding.resistance_check import Leads, OhmsRead, check_resistance
from tests.winding.ohms_by_hand import (
    ASSEMBLY,
    EVERY,
    PLANNED,
    RECEIVER,
    ROOM,
    WINDINGS,
    as_read,
    checked,
    drawn_ohms,
    drawn_reel,
    planned_of,
    turns_of,
)


@WINDINGS
def test_a_good_winding_is_seldom_called_wrong(job: Job, name: str) -> None:
    # Draws by a generator with a fixed seed; k = 2 of a normal distribution leaves 4.6 % outside, rectangular parts
    # somewhat less.  400 draws a winding, 6 windings; each by itself may be out by chance, up to 3 sigma.
    rng = np.random.default_rng(11)
    planned = planned_of(job, name)
    wrong = 0
    for _ in range(400):
        temperature = ROOM + 3.0 * rng.standard_normal()
        ohms = drawn_ohms(rng, job, name, drawn_reel(rng, planned), temperature) * (1 + 0.003 * rng.standard_normal())
        read = as_read(ohms, u=0.003 * ohms, u_temperature=3.0)
        answer = check_resistance(planned, read, Counted.exactly(turns_of(planned)), ASSEMBLY)
        wrong += answer.conclusion is Conclusion.DISAGREES
    assert 0.005 <= wrong / 400 <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 400)


def test_good_windings_of_all_kinds_are_called_wrong_in_at_most_five_of_a_hundred() -> None:
    rng = np.random.default_rng(3)
    wrong = 0
    for number in range(3000):
        job, name = EVERY[number % len(EVERY)]
        planned = PLANNED[job.identity.number, name]
        temperature = ROOM + 3.0 * rng.standard_normal()
        ohms = drawn_ohms(rng, job, name, drawn_reel(rng, planned), temperature)
        answer = check_resistance(
            planned, as_read(ohms, u_temperature=3.0), Counted.exactly(turns_of(planned)), ASSEMBLY
        )
        wrong += answer.conclusion is Conclusion.DISAGREES
    # Not far under it either: an interval that is never wrong is too wide to be of use.
    assert 0.02 <= wrong / 3000 <= 0.05


def _two_of_one_reel() -> Job:
    """The receiver with its rectifier winding of the primary's wire, and enough of it."""
    changed = {"wire": parse_wire("0.40 mm"), "turns": 300, "layers": ()}
    return RECEIVER.model_copy(
        update={
            "winding": tuple(
                one.model_copy(update=changed) if one.name == "rectifier" else one for one in RECEIVER.winding
            )
        }
    )


def test_a_winding_of_the_same_reel_makes_the_interval_narrower_and_it_still_holds() -> None:
    job = _two_of_one_reel()
    plan = plan_of(job)
    first, second = plan.winding("primary"), plan.winding("rectifier")
    rng = np.random.default_rng(5)
    held, narrower = 0, []
    for _ in range(1000):
        reel = drawn_reel(rng, first)
        temperatures = ROOM + rng.standard_normal(2)
        ohms = [drawn_ohms(rng, job, one.name, reel, t) for one, t in zip((first, second), temperatures, strict=True)]
        before = check_resistance(
            first, as_read(ohms[0], u_temperature=1.0), Counted.exactly(662), ASSEMBLY, batch="R7"
        )
        reference = before.reference or _reference_anyway(first, ohms[0])
        after = check_resistance(
            second,
            as_read(ohms[1], u_temperature=1.0),
            Counted.exactly(300),
            ASSEMBLY,
            batch="R7",
            earlier=[reference],
        )
        assert after.sharper is not None
        assert after.beside == ("primary",)
        held += after.sharper.low <= 300 <= after.sharper.high
        narrower.append(after.sharper.half / after.says.half)
    assert 0.93 <= held / 1000 <= 0.98
    assert max(narrower) < 0.65


def _reference_anyway(planned: PlannedWinding, ohms: float) -> Reference:
    """Of a check that was called a disagreement by chance, since all draws shall count: a count that may be anything
    keeps it from disagreeing, and its doubt is taken out again."""
    reference = check_resistance(
        planned, as_read(ohms, u_temperature=1.0), Counted(662, 400, 900), ASSEMBLY, batch="R7"
    ).reference
    assert reference is not None
    return Reference(reference.winding, reference.wire, reference.batch, reference.excess, reference.parts, 0.0)


def test_another_wire_another_batch_or_none_tells_nothing() -> None:
    job = _two_of_one_reel()
    plan = plan_of(job)
    before = check_resistance(plan.winding("primary"), as_read(15.9), Counted.exactly(662), ASSEMBLY, batch="R7")
    assert before.reference is not None
    for name, turns, batch in (("rectifier", 300, "R8"), ("rectifier", 300, ""), ("ht", 1554, "R7")):
        due = checked(plan.winding(name), 1.0, turns).due
        answer = check_resistance(
            plan.winding(name),
            as_read(due),
            Counted.exactly(turns),
            ASSEMBLY,
            batch=batch,
            earlier=[before.reference],
        )
        assert (answer.sharper, answer.beside) == (None, ())


def test_a_gain_that_both_readings_share_leaves_with_the_reel() -> None:
    # 2 % of gain, one meter and range: alone it widens the interval, beside the other winding it does not.
    plan = plan_of(_two_of_one_reel())
    widths = {}
    for gain in (0.0, 0.02):
        reference = None
        for name, turns in (("primary", 662), ("rectifier", 300)):
            ohms = checked(plan.winding(name), 1.0, turns).due
            read = OhmsRead(Estimate(ohms, {"meter:gain": gain * ohms}), Leads.TAKEN_OFF, ROOM, 0.0)
            answer = check_resistance(
                plan.winding(name),
                read,
                Counted.exactly(turns),
                ASSEMBLY,
                batch="R7",
                earlier=[] if reference is None else [reference],
            )
            reference = answer.reference
        assert answer.sharper is not None
        widths[gain] = (answer.says.half, answer.sharper.half)
    assert widths[0.02][0] > 1.15 * widths[0.0][0]
    assert widths[0.02][1] == pytest.approx(widths[0.0][1], rel=0.02)


def test_what_it_says_to_see_it_sees() -> None:
    # Counts that are out by as much, with draws of all doubts: called in 19 cases of 20, 800 draws, 3 sigma.
    rng = np.random.default_rng(9)
    planned = PLANNED["TP-0107", "primary"]
    seen = 0
    for _ in range(800):
        ohms = drawn_ohms(rng, RECEIVER, "primary", drawn_reel(rng, planned), ROOM)
        good = check_resistance(planned, as_read(ohms), Counted.exactly(662), ASSEMBLY)
        out = check_resistance(planned, as_read(ohms), Counted.exactly(662 + good.sees), ASSEMBLY)
        seen += out.conclusion is Conclusion.DISAGREES
    assert seen / 800 >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 800)

"""The core put together again: what is asked of it, and all that is wrong with it."""

from __future__ import annotations

from dataclasses import replace

from bench.quantities import Dimension, parse, show
from bench.winding.restack_joints import bolts, earth, gap_current, joints, rings, wedge
from bench.winding.restack_steel import counts, height, steel
from bench.winding.restack_values import Due, Restack, due_of, laminations_due, restack_of
from bench.winding.restack_words import QUESTIONS, remark
from bench.winding.stage import Question, Remark, Weight, by_weight, unanswered
from bench.winding.typed_answers import read_laminations

__all__ = ["Due", "Restack", "due_of", "gap_current", "judged", "laminations_due", "questions_for", "restack_of"]

_FAR = 1.5
"""From the design's stack either way: what is further off is asked about once more (common practice, no source)."""


def questions_for(due: Due) -> tuple[Question, ...]:
    """What is asked, with doubts where an answer is far from what the job lets expect."""
    wanted = laminations_due(due)

    def doubt_of_count(text: str) -> str:
        count = read_laminations(text)
        if wanted is None or all(wanted / _FAR < n < wanted * _FAR for n in (count.e, count.i)):
            return ""
        return f"the design's stack is about {wanted} of each"

    def doubt_of_height(text: str) -> str:
        height = parse(text, Dimension.LENGTH)
        if due.stack is None or due.stack / _FAR < height < due.stack * _FAR:
            return ""
        return f"the design's stack is {show(due.stack, 'm', 3)}"

    doubts = {"came_out": doubt_of_count, "laminations_in": doubt_of_count, "stack": doubt_of_height}
    return tuple(replace(one, doubt=doubts[one.key]) if one.key in doubts else one for one in QUESTIONS)


def judged(one: Restack, due: Due, photographs: int) -> tuple[Remark, ...]:
    """What is wrong with the stack, what is not said of it, and what is worth knowing; warnings first."""
    said = {
        "laminations_in": one.put_in, "left_over": one.left_over, "stack": one.stack, "interleave": one.interleave,
        "bolts": one.bolts, "earth": one.earth,
    }  # fmt: skip
    remarks = [
        *counts(one, due), *steel(one, due), *joints(one, due), *height(one, due), *bolts(one), *rings(one),
        *earth(one, due), *wedge(one), *unanswered(QUESTIONS, said),
    ]  # fmt: skip
    if not photographs:
        remarks.append(remark("no_photograph", Weight.NOTE, "no photograph of the stacked core is kept"))
    return by_weight(remarks)

"""The stages of a job along the top of the window, each with what its sign says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.dashboard.parts.look import Ink, Shape, ink_of_standing, ink_of_verdict, shape_of_standing, shape_of_verdict
from bench.dashboard.record.acts import JOBS, VERIFIED
from bench.dashboard.restack.acts import STAGES
from bench.dashboard.state import TEST_STANDS, Snapshot, Stage

__all__ = ["DEMO", "DESK", "Sign", "Station"]

Sign = tuple[Shape, Ink]
_NOT_YET: Sign = (Shape.RING, Ink.QUIET)
_ON: Sign = (Shape.DOT, Ink.COPPER)
_DONE: Sign = (Shape.TICK, Ink.GOOD)


@dataclass(frozen=True)
class Station:
    """key: that looks at it, empty where it is no face of its own;  sign: how it stands;  here: whether the job is at
    it now."""

    key: str
    name: str
    sign: Callable[[Snapshot], Sign]
    here: Callable[[Snapshot], bool]


def _survey(state: Snapshot) -> Sign:
    reckoned = state.reckoned.get("survey")
    survey = None if reckoned is None or reckoned.value is None else reckoned.value.survey
    if survey is not None:
        return _DONE if survey.whole else _ON
    if state.job is None or state.job.as_found is None:
        return _NOT_YET
    return _DONE if state.job.as_found.winding_turns else _ON


def _design(state: Snapshot) -> Sign:
    if state.job is None or not state.job.winding:
        return _NOT_YET
    return _DONE if all(one.turns and one.wire is not None for one in state.job.winding) else _ON


def _winding(state: Snapshot) -> Sign:
    if state.progress is not None and (state.doing == "winding" or not state.windings):
        standing = state.progress.standing
        return shape_of_standing(standing), ink_of_standing(standing)[0]
    if not state.windings or not any(one.begun or one.done is not None for one in state.windings):
        return _NOT_YET
    return _DONE if all(one.done is not None and not one.begun for one in state.windings) else _ON


def _restack(state: Snapshot) -> Sign:
    """Of the core, until its varnish is begun."""
    reckoned = state.reckoned.get(STAGES)
    if reckoned is None or reckoned.value is None:
        return _NOT_YET
    stands = reckoned.value
    stage = stands.varnish if stands.varnish.begun and stands.due is stands.varnish.kind else stands.restack
    if stage.warned:
        return Shape.BANG, Ink.BAD
    return _DONE if stage.in_order else _ON if stage.begun else _NOT_YET


def _record(state: Snapshot) -> Sign:
    """Whether anything is kept of the job, and whether it was found whole."""
    number = "" if state.job is None else state.job.identity.number
    verified, jobs = state.reckoned.get(VERIFIED), state.reckoned.get(JOBS)
    if verified is not None and verified.value is not None and verified.value[0] == number:
        return (Shape.CROSS, Ink.BAD) if verified.value[1].problems else _DONE
    if jobs is None or jobs.value is None or all(one.number != number for one in jobs.value):
        return _NOT_YET
    return _ON


def _test(state: Snapshot) -> Sign:
    if state.verdict is not None:
        return shape_of_verdict(state.verdict.verdict), ink_of_verdict(state.verdict.verdict)[0]
    reckoned = state.reckoned.get(TEST_STANDS)
    stands = None if reckoned is None else reckoned.value
    if stands is not None and state.stage is not Stage.TESTING:
        if stands.goes_on or stands.changed or not stands.verdict:
            return _ON
        return shape_of_verdict(Verdict(stands.verdict)), ink_of_verdict(Verdict(stands.verdict))[0]
    return _ON if state.stage is Stage.TESTING else _NOT_YET


def _demo_test(state: Snapshot) -> Sign:
    if state.stage not in (Stage.TESTING, Stage.ENDED):
        return _NOT_YET
    return Shape.DOT, Ink.COPPER if state.verdict is None else Ink.TEXT


def _verdict(state: Snapshot) -> Sign:
    verdict: Verdict | None = None if state.verdict is None else state.verdict.verdict
    return shape_of_verdict(verdict), ink_of_verdict(verdict)[0]


def _doing(name: str) -> Callable[[Snapshot], bool]:
    return lambda state: state.doing == name


def _at(stage: Stage) -> Callable[[Snapshot], bool]:
    return lambda state: state.stage is stage


DEMO = (
    Station("1", "winding", _winding, _at(Stage.WINDING)),
    Station("2", "test", _demo_test, _at(Stage.TESTING)),
    Station("", "verdict", _verdict, _at(Stage.ENDED)),
)
"""Of a rehearsal that is only looked at."""

DESK = (
    Station("1", "survey", _survey, _doing("survey")),
    Station("2", "design", _design, _doing("design")),
    Station("3", "winding", _winding, _doing("winding")),
    Station("4", "restack", _restack, _doing("restack")),
    Station("5", "test", _test, _doing("test")),
    Station("6", "record", _record, lambda state: False),
)
"""Of a job at the bench."""

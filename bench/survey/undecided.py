"""Why a survey does not settle turns per volt, in a line."""

from __future__ import annotations

from bench.survey.values import Survey

__all__ = ["undecided_because"]


def undecided_because(survey: Survey | None) -> str:
    """Why turns per volt don't stand, or not unchallenged; nothing where they do."""
    if survey is None:
        return "nothing is known of the unit yet"
    if survey.disagrees:
        return "what was read and counted does not agree, see What disagrees"
    if survey.turns_per_volt is not None:
        return ""
    return f"no turns per volt yet: {_lacking(survey)}"


def _lacking(survey: Survey) -> str:
    if not survey.reference:
        return "no winding as found has the role primary"
    if survey.reference_volts is None:
        return f"neither the plate nor made_for tells the volts of {survey.reference}"
    if all(one.counted is None for one in survey.windings):
        return "no winding is counted yet"
    if survey.more_than_one:
        return "more than one thing is wrong"
    return f"nothing ties what is counted to the turns of {survey.reference}: read the volts of both at the same moment"

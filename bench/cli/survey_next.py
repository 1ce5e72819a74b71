"""What to do after a survey: a command to copy."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bench.sitting.survey_known import KnownSoFar
    from bench.survey.survey import Survey

__all__ = ["next_command", "recount_lines"]


def next_command(known: KnownSoFar, job_file: str) -> str:
    """The command that comes next; nothing once every winding is counted."""
    found = known.gathered.found
    survey = known.survey
    read = found.insulation or found.resistance or found.volts or found.exciting or found.current_ratio
    counted = survey is not None and any(one.counted is not None for one in survey.windings if not one.search_coil)
    if survey is None or not (read or counted):
        return f"turnproof survey {shlex.quote(job_file)} --read"
    if not (found.volts or counted):
        # Volts can be read only while all of it is still on; where it can't be fed, it comes off without them.
        read_them = f"turnproof survey {shlex.quote(job_file)} --read"
        return f"{read_them} for its volts, or --strip {survey.next_winding} where it can't be fed"
    if survey.next_winding is not None:
        return f"turnproof survey {shlex.quote(job_file)} --strip {survey.next_winding}"
    return ""


def recount_lines(known: KnownSoFar, job_file: str) -> list[str]:
    """How a count that may be wrong is put right, a line a winding; empty where no count is in question."""
    survey = known.survey
    if survey is None or not survey.disagrees:
        return []
    lines = []
    for name in _in_question(survey):
        counted = next((one.counted for one in survey.windings if one.name == name), None)
        if counted is None:
            continue
        again = f"turnproof survey {shlex.quote(job_file)} --strip {name}"
        if counted.how == "job file":
            lines.append(f"{name}: correct turns = {counted.turns:g} of it in the job file, or count it: {again}")
        else:
            lines.append(f"{name}: count it again, or type the corrected count in one go: {again} --again")
    return lines


def _in_question(survey: Survey) -> list[str]:
    """Windings whose count a likely slip blames, or that lie apart."""
    blamed = [one.winding.partition(".")[0] for one in (*survey.slips[:1], *survey.alike) if one.of_a_count]
    apart = [one.name for one in survey.windings if not one.agrees]
    return list(dict.fromkeys([*blamed, *apart]))

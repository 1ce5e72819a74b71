"""The windings as found as a job of their own, so that their readings can be worked out as a design's are."""

from __future__ import annotations

from bench.job.as_found import AsFound
from bench.job.model import Job, Supply
from bench.survey.evidence import Counted

__all__ = ["job_as_found", "turns_within"]


def job_as_found(job: Job, found: AsFound, counted: tuple[Counted, ...]) -> Job | None:
    """The unit as it came, on the supply that it was made for; None while a winding is not counted or has no role."""
    made = job.made_for or job.supply
    by_name = {one.winding: one.turns for one in counted}
    windings = [
        one.model_copy(update={"turns": by_name.get(one.name, one.turns)}).as_winding()
        for one in found.winding
        if not one.search_coil
    ]
    if made is None or not windings or any(one is None for one in windings):
        return None
    whole = tuple(one for one in windings if one is not None)
    names = {one.name for one in whole}
    steel = job.core.steel if found.core_kept and job.core.steel else "nonoriented-unknown"
    return job.model_copy(
        update={
            "winding": whole,
            "screen": tuple(one for one in job.screen if one.after in names),
            "supply": Supply.model_validate({"voltage": f"{made.voltage} V", "frequency": f"{made.frequency} Hz"}),
            "core": job.core.model_copy(update={"steel": steel}),
            "load": tuple(one for one in job.load if one.winding.partition(".")[0] in names),
            "expected": (),
            "as_found": None,
        }
    )


def turns_within(counted: tuple[Counted, ...]) -> dict[str, float]:
    """Half widths [turns] of the counts, by winding."""
    return {one.winding: one.within for one in counted}

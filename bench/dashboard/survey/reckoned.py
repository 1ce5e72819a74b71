"""What the survey face draws, worked out beside the window from the job file and the record."""

from __future__ import annotations

from dataclasses import dataclass

from bench.dashboard.parts.flux_scale import FluxMark, FluxSeen
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.magnetics.steel import Steel
from bench.sitting.found_readings import DueReading, gate_lines, readings_due
from bench.sitting.opening import open_store
from bench.sitting.problems import BadInput
from bench.sitting.survey_history import AfterEntry, how_it_tightened
from bench.sitting.survey_known import KnownSoFar, known_so_far
from bench.survey.sentences import expectation_line, says
from bench.survey.undecided import undecided_because
from bench.survey.values import Survey

__all__ = ["Key", "SurveyShown", "survey_shown"]

Key = tuple[object, ...]
"""Of the job file's text and the record as they were read."""


# eq=False: it holds arrays, which have no single truth value.
@dataclass(frozen=True, eq=False)
class SurveyShown:
    """key: of what it was made from;  known: file and record together;  survey: None while nothing is known;
    history: of turns per volt;  due: readings while the unit is whole;  gate: why nothing may be fed;  lines: what is
    said under a heading;  undecided: why turns per volt don't stand;  foretold: of the next winding;  refuse [ohm];
    flux: None where the curve was not looked at yet;  fed_because: the gate was passed with a reason that is kept."""

    key: Key
    known: KnownSoFar
    survey: Survey | None
    history: tuple[AfterEntry, ...]
    due: tuple[DueReading, ...]
    gate: tuple[str, ...]
    lines: dict[str, tuple[str, ...]]
    undecided: str
    foretold: str
    refuse: float
    flux: FluxSeen | None
    fed_because: bool = False


def survey_shown(job: Job, bench: BenchFile, key: Key, *, curve: bool) -> SurveyShown:
    """Raises BadInput where what is known can't be brought together, RecordProblem, InstrumentTrouble."""
    rules = load_table("limits", "survey")
    with open_store() as store:
        known = known_so_far(job, store, bench, rules, curve=curve)
        entries = store.landmarks(job.identity.number)
    survey = known.survey
    refuse = float(rules["insulation"]["refuse_ohm"])
    lines = {} if survey is None else {one.heading: one.lines for one in says(survey)}
    due = survey.next_winding if survey is not None else None
    return SurveyShown(
        key=key,
        known=known,
        survey=survey,
        history=how_it_tightened(job, entries, bench, rules),
        due=readings_due(known),
        gate=tuple(gate_lines(known, refuse)),
        lines=lines,
        undecided=undecided_because(survey),
        foretold="" if survey is None or due is None else expectation_line(survey, survey.winding(due)),
        refuse=refuse,
        flux=_flux(job, survey) if curve else None,
        fed_because=any("fed past the insulation gate" in str(one.body.get("text", "")) for one in entries),
    )


def _flux(job: Job, survey: Survey | None) -> FluxSeen:
    title = "flux density"
    flux = None if survey is None else survey.flux
    if survey is None or flux is None:
        needs = []
        if survey is None or survey.turns_per_volt is None:
            needs.append("turns per volt")
        if job.core.net_area is None:
            needs.append("core.tongue (or lamination) and core.stack in the job file")
        if job.made_for is None and job.supply is None:
            needs.append("made_for or supply in the job file")
        return FluxSeen(title, empty=f"Flux density is not known without {', '.join(needs) or 'more'}.")
    marks = []
    made, supply = job.made_for, job.supply
    tolerance = f"+{100 * (supply.tolerance if supply is not None else 0.10):.0f} %"
    for at, volts in ((flux.as_made, made), (flux.kept, supply)):
        if at is None or volts is None:
            continue
        name = "as made" if at is flux.as_made else "kept, now"
        marks.append(FluxMark(f"{name} {at.frequency:g} Hz", at.nominal.value, at.nominal.expanded))
        marks.append(FluxMark(f"{tolerance} volts", at.highest.value, at.highest.expanded))
    curve = survey.curve
    if curve is not None and curve.knee_flux is not None:
        knee = curve.knee_flux
        return FluxSeen(title, tuple(marks), knee.value, knee.expanded, "as found")
    return FluxSeen(title, tuple(marks), *_published_knee(job))


def _published_knee(job: Job) -> tuple[float | None, float, str]:
    """Knee and doubt [T] of the job's steel by its published curves, and whose it is."""
    name = job.core.steel or "nonoriented-unknown"
    try:
        steel = Steel.from_table(load_table("steels", name))
        return steel.knee_flux_density, 2 * steel.knee_spread, steel.name
    except (ValueError, BadInput):
        return None, 0.0, ""

"""From what was read and counted on the unit as found to everything that follows from it."""

from __future__ import annotations

import math
from typing import Any

from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.magnetics.excitation import MagneticCore, exciting
from bench.survey.copper_turns import CopperTurns, copper_turns
from bench.survey.curve_answer import bearings_of, core_as_found, curve_answer
from bench.survey.evidence import Evidence
from bench.survey.first_volts import FirstVolts, first_volts
from bench.survey.flux import flux_of, usual_turns_per_volt
from bench.survey.interval import Interval
from bench.survey.nameplate import nameplate_notes, plate_power
from bench.survey.network import KNOWN_LOG, Network, Observation, Posterior, observations_of
from bench.survey.rating import PowerEstimate, by_copper, by_core_area, by_heat
from bench.survey.slips import Explanation, explanations, same_signature, turns_under_all
from bench.survey.values import Survey, WindingFound

__all__ = ["Survey", "WindingFound", "survey_of"]


def survey_of(job: Job, found: AsFound, evidence: Evidence, rules: dict[str, Any]) -> Survey:
    """The survey of a job; rules: profiles/limits/survey."""
    names = [one.name for one in found.winding]
    seen = {one.winding for one in evidence.counted} | {one.winding for one in evidence.amps}
    seen |= {name for one in evidence.volts for name in (one.fed, one.winding)}
    unknowns = [*names, *sorted(seen - set(names))]
    copper = _copper(job, found, evidence)
    drop = rules["drop"]
    observed = observations_of(evidence, float(drop["fraction"]), float(drop["u"]))
    firm = Network(observed, unknowns)
    slips = explanations(firm, rules["priors"]) if observed else []
    fed = {one.fed for one in evidence.volts}
    alike = same_signature(slips, fed)
    reference, volts = _reference(job, found)
    hints = [*_hints(copper, evidence), *_usual(job, reference, volts, rules)]
    posterior = slips[0].posterior if slips else firm.solve()
    misfit = bool(slips) and slips[0].posterior.fit_probability < float(rules["fit"]["least_probability"])
    per_volt = None if misfit else _turns_per_volt(slips, fed, observed, reference, volts, float(drop["fraction"]))
    windings = tuple(_winding(one.name, found, evidence, firm, slips, hints, copper) for one in found.winding)
    flux = None if per_volt is None else flux_of(job, per_volt, rules)
    core = core_as_found(job, found)
    curve, steels, bad_curve = curve_answer(job, found, evidence, posterior, reference, volts, core, rules)
    label = plate_power(found)
    uncounted = [one for one in windings if one.counted is None and not one.search_coil]
    return Survey(
        windings=windings,
        turns_per_volt=per_volt,
        reference=reference,
        reference_volts=volts,
        slips=tuple(slips),
        alike=tuple(alike),
        more_than_one=misfit,
        next_winding=uncounted[-1].name if uncounted else None,
        insulation={one.winding: one.resistance for one in found.insulation},
        insulation_missing=tuple(
            one.name
            for one in found.winding
            if not one.search_coil and one.name not in {read.winding for read in found.insulation}
        ),
        insulation_limits=(float(rules["insulation"]["refuse_ohm"]), float(rules["insulation"]["good_ohm"])),
        flux=flux,
        curve=curve,
        steels=tuple(steels),
        bearings=bearings_of(job, found, flux, core, curve, steels),
        nameplates=nameplate_notes(found, evidence, rules),
        label_is_written=found.label_power is not None,
        label_power=label,
        powers=tuple(_powers(job, found, windings, per_volt, core, label, rules)),
        first=_first(job, found, evidence, windings, rules),
        job=job,
        missing=tuple([*bad_curve, *_missing(job, found, evidence)]),
    )


def _reference(job: Job, found: AsFound) -> tuple[str, float | None]:
    """The winding and the volts that turns per volt are counted by: the primary at the volts of its plate, or at those
    that the unit was made for.  Volts of a test say nothing of the volts that a winding works at."""
    primary = found.primary
    if primary is None:
        return "", None
    made = job.made_for.voltage if job.made_for is not None else None
    return primary.name, primary.nameplate_voltage or made


def _turns_per_volt(
    slips: list[Explanation],
    fed: set[str],
    observed: list[Observation],
    reference: str,
    volts: float | None,
    drop: float,
) -> Interval | None:
    """Turns of the reference winding over its EMF, all explanations weighed; None before anything was counted."""
    if volts is None or not any(one.kind in ("count", "amps") for one in observed):
        return None
    turns = turns_under_all(slips, reference, fed)
    if turns is None or turns.relative > KNOWN_LOG:
        return None
    return turns.times(1 / (volts * (1 - drop)))


def _copper(job: Job, found: AsFound, evidence: Evidence) -> dict[str, tuple[CopperTurns, ...]]:
    ways = {}
    for one in found.winding:
        read = evidence.resistances.get(one.name)
        ways[one.name] = copper_turns(one, job.core, None if read is None else Interval(read.value, read.u))
    return ways


def _hints(copper: dict[str, tuple[CopperTurns, ...]], evidence: Evidence) -> list[Observation]:
    """Turns by copper of the windings that nobody counted: they tell what to expect, never turns per volt."""
    return [
        Observation(
            "copper", name, "", {name: 1.0}, math.log(ways[0].turns.value), {f"copper {name}": ways[0].turns.relative}
        )
        for name, ways in copper.items()
        if ways and evidence.count(name) is None
    ]


def _usual(job: Job, reference: str, volts: float | None, rules: dict[str, Any]) -> list[Observation]:
    """Turns of the reference winding at the usual flux density of an old unit: a first guess."""
    usual = usual_turns_per_volt(job, rules)
    if usual is None or volts is None or not reference:
        return []
    guess = math.log(usual.value * volts)
    return [Observation("usual", reference, "", {reference: 1.0}, guess, {"usual flux density": usual.relative})]


def _winding(
    name: str,
    found: AsFound,
    evidence: Evidence,
    firm: Network,
    slips: list[Explanation],
    hints: list[Observation],
    copper: dict[str, tuple[CopperTurns, ...]],
) -> WindingFound:
    counted = evidence.count(name)
    own = {n for n, one in enumerate(firm.observations) if one.kind == "count" and _whole(one.winding) == name}
    others = [one for n, one in enumerate(firm.observations) if n not in own]
    if counted is None and slips:
        turns = turns_under_all(slips, name, {one.fed for one in evidence.volts})
        expected = turns if turns is not None and turns.relative <= KNOWN_LOG else None
    else:
        expected = _expected(name, firm.without(own).solve(), others)
    source = "readings and counts" if expected is not None else ""
    if expected is None:
        expected = _expected(name, Network([*others, *hints], firm.windings).solve(), [*others, *hints])
        by_copper = any(one.kind == "copper" for one in hints)
        source = "" if expected is None else "ohms and wire" if by_copper else "the core at the usual flux density"
    residue = None
    if counted is not None and expected is not None and source == "readings and counts":
        residue = Interval(counted.turns - expected.value, math.hypot(counted.u, expected.u))
    read = evidence.resistances.get(name)
    winding = found.get_winding(name)
    return WindingFound(
        name=name,
        counted=counted,
        expected=expected,
        expected_from=source,
        residue=residue,
        copper=copper[name],
        resistance=None if read is None else Interval(read.value, read.u),
        nameplate=winding.nameplate_voltage,
        search_coil=winding.search_coil,
    )


def _whole(name: str) -> str:
    """The winding that a section belongs to."""
    return name.partition(".")[0]


def _expected(name: str, posterior: Posterior, observed: list[Observation]) -> Interval | None:
    if not observed or name not in posterior.windings:
        return None
    u_log = posterior.u_log(name)
    return (
        None if u_log > KNOWN_LOG else Interval.from_log(float(posterior.mean[posterior.windings.index(name)]), u_log)
    )


def _powers(
    job: Job,
    found: AsFound,
    windings: tuple[WindingFound, ...],
    per_volt: Interval | None,
    core: MagneticCore | None,
    label: float | None,
    rules: dict[str, Any],
) -> list[PowerEstimate]:
    """On the new supply where there is one: that is where it is to carry."""
    supply, made = job.supply or job.made_for, job.made_for or job.supply
    if supply is None or made is None:
        return []
    estimates = [by_core_area(job.core, supply.frequency, rules["rating"])]
    # Volts that a winding works at: of the plate, else by its turns; never those of a test at part of the volts.
    volts = {one.name: one.nameplate_voltage for one in found.winding if one.nameplate_voltage is not None}
    for one in windings:
        turns = one.counted.turns if one.counted is not None else None
        if one.name not in volts and turns is not None and per_volt is not None:
            volts[one.name] = turns / per_volt.value
    estimates.append(by_copper(found, volts, rules["rating"]))
    copper = _copper_loss(found, windings, float(rules["rating"]["efficiency"]))
    fed = None if found.primary is None else next(one for one in windings if one.name == found.primary.name)
    counted = None if fed is None else fed.counted
    if core is not None and copper is not None and label and counted is not None:
        fed_volts = volts.get(counted.winding, made.voltage)
        loss = exciting(core, counted.turns, fed_volts, made.frequency).core_loss
        estimates.append(by_heat(job.core, loss, copper, label, float(rules["rating"]["rise_K"])))
    return [one for one in estimates if one is not None]


def _copper_loss(found: AsFound, windings: tuple[WindingFound, ...], efficiency: float) -> float | None:
    """Watts in all copper at the plate's currents and 20 degC; None while an ohm or a current is missing."""
    by_name = {one.name: one for one in windings}
    total, power = 0.0, plate_power(found)
    for one in found.winding:
        if one.search_coil:
            continue
        ohms, amps = by_name[one.name].resistance, one.nameplate_current
        if amps is None and one is found.primary and power and one.nameplate_voltage:
            amps = power / efficiency / one.nameplate_voltage
        if ohms is None or amps is None:
            return None
        total += ohms.value * amps**2
    return total or None


def _first(
    job: Job, found: AsFound, evidence: Evidence, windings: tuple[WindingFound, ...], rules: dict[str, Any]
) -> FirstVolts | None:
    """Only while nothing was fed yet: afterwards the readings themselves tell more.  And only once every winding has
    its ohms or its turns: one that nobody measured may be the one with the most."""
    made = job.made_for or job.supply
    if evidence.volts or made is None:
        return None
    turns: dict[str, Interval] = {}
    for one in windings:
        if one.search_coil:
            continue
        if one.counted is not None:
            turns[one.name] = Interval(one.counted.turns, one.counted.u)
        elif one.copper:
            turns[one.name] = one.copper[0].turns
        elif one.name not in evidence.resistances:
            return None
    ohms = {name: read.value for name, read in evidence.resistances.items() if "." not in name}
    return first_volts(ohms, job.core, made.frequency, rules, turns)


def _missing(job: Job, found: AsFound, evidence: Evidence) -> list[str]:
    """What would tell more, in the order in which it is read."""
    missing = []
    own = [one for one in found.winding if not one.search_coil]
    if not own:
        missing.append("the windings, inside first: [[as_found.winding]] with name, role and nameplate_voltage")
    read = {one.winding for one in found.insulation}
    if any(one.name not in read for one in own):
        missing.append("insulation resistance of every winding to all the rest and the core, before anything is fed")
    if any(one.name not in evidence.resistances for one in own):
        missing.append(
            "resistance of every winding, with the temperature of its copper: first volts rest on all of them"
        )
    if len(own) > 1 and not evidence.volts:
        missing.append(
            "open-circuit volts of every winding, with the volts on the fed winding at the same moment; a few volts do"
        )
    if own and len(found.exciting) < 3:
        missing.append("exciting current at several volts, rising, with the frequency: [[as_found.exciting]]")
    if job.core.net_area is None:
        missing.append("core.tongue (or lamination) and core.stack: no flux density without them")
    if job.made_for is None:
        missing.append("made_for.voltage and made_for.frequency: what the unit was made for")
    if job.supply is None:
        missing.append("supply.voltage and supply.frequency: what it is to run on")
    return missing

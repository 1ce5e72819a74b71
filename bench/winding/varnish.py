"""Varnish and bake: what was answered, what stands against beginning, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from bench.acceptance.before_after import Compared
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.magnetics.thermal_class import thermal_class
from bench.quantities import Dimension, show
from bench.winding.stage import ANEW, Answered, Remark, Weight, by_weight, unanswered
from bench.winding.typed_answers import Heat, read_heat
from bench.winding.varnish_words import BAKE, QUESTIONS, bake_key, remark

__all__ = [
    "OLD_UNITS",
    "STANDARD",
    "HeatLimit",
    "Varnish",
    "against_beginning",
    "bake_steps",
    "heat_limit",
    "judged",
    "tests_around",
    "tests_before",
    "varnish_of",
]

OLD_UNITS = 363.15
"""Hottest bake [K] of class A, and of units whose insulation nobody knows: navy practice, 90 °C for 6 to 7 h
(rminucleardocs.icaad.ngo, a navy's manual for machines, pages 81 and 84)."""

STANDARD = "IEC 60085"
"""The table of profiles/limits/insulation-classes.toml that says what insulation itself is rated for."""

_MUCH_HEAVIER = 1.3
"""Mass after over mass before that no varnish makes of copper and steel (common practice, no source)."""


@dataclass(frozen=True)
class HeatLimit:
    """temperature [K] that a bake should not pass;  words: whose limit that is;  remark: name of what is said then."""

    temperature: float
    words: str
    remark: str


@dataclass(frozen=True)
class Varnish:
    """What was answered; None where it was not.  mass_before, mass_after [kg];  bakes by their step."""

    name: str | None = None
    method: str | None = None
    predry: Heat | None = None
    bakes: tuple[tuple[int, Heat], ...] = ()
    mass_before: float | None = None
    mass_after: float | None = None
    because: str = ""


def varnish_of(answers: Answered) -> Varnish:
    """The answers as values."""
    bakes = ((step, answers.value(bake_key(step), read_heat)) for step in bake_steps(answers))
    return Varnish(
        name=answers.text("varnish"),
        method=answers.text("method"),
        predry=answers.value("predry", read_heat),
        bakes=tuple((step, heat) for step, heat in bakes if heat is not None),
        mass_before=answers.quantity("mass_before", Dimension.MASS),
        mass_after=answers.quantity("mass_after", Dimension.MASS),
        because=answers.because,
    )


def tests_around(
    answers: Answered, entries: Iterable[tuple[int, str, Mapping[str, Any]]]
) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
    """Results of the last test before this varnish and of the last after its bake, by number, kind and body of the
    record's entries; None where one of them was not made, or was made of what the unit is no more."""
    if answers.begun is None:
        return None
    done = max((one.entry for key, one in answers.answers.items() if _is_bake(key)), default=answers.begun)
    before: Mapping[str, Any] | None = None
    after: Mapping[str, Any] | None = None
    for number, kind, body in entries:
        if _change(kind, body):
            if number > answers.begun:
                return None
            before = None
        elif kind == "result" and number < answers.begun:
            before = body
        elif kind == "result" and number > done:
            after = body
    return None if before is None or after is None else (before, after)


def tests_before(entries: Iterable[tuple[str, Mapping[str, Any]]]) -> Mapping[str, Any] | None:
    """Result of the last test among these entries, by kind and body; None where none was of what the unit is now."""
    last: Mapping[str, Any] | None = None
    for kind, body in entries:
        if kind == "result":
            last = body
        elif _change(kind, body):
            last = None
    return last


def bake_steps(answers: Answered) -> tuple[int, ...]:
    """Numbers of the steps that are kept, in their order."""
    return tuple(sorted(int(key.partition(" ")[2]) for key in answers.answers if _is_bake(key)))


def _is_bake(key: str) -> bool:
    word, _, step = key.partition(" ")
    return word == BAKE and step.isascii() and step.isdigit()


def against_beginning(entries: Iterable[tuple[str, Mapping[str, Any]]]) -> str:
    """Why a unit is not ready for varnish, by kind and body of its record's entries in their order; empty where it is.

    Ready is a unit whose last acceptance test accepted it, with nothing wound and no core stacked anew since then.
    """
    result: Mapping[str, Any] | None = None
    changed = ""
    for kind, body in entries:
        if kind == "result":
            result, changed = body, ""
        else:
            changed = _change(kind, body) or changed
    if result is None:
        return "no acceptance test of the rewound unit is recorded"
    if changed:
        return f"{changed} after the last acceptance test"
    verdict = str(result.get("verdict", "")) or "without a verdict"
    if verdict == "accepted":
        return ""
    undone = [str(one.get("id")) for one in result.get("not_done") or () if one.get("required")]
    told = f", not done: {', '.join(undone)}" if undone and verdict == "incomplete" else ""
    return f"the last acceptance test ended {verdict}{told}"


def _change(kind: str, body: Mapping[str, Any]) -> str:
    """What an entry says was made anew, so that an earlier test is one of another unit; empty for the rest."""
    if kind == "winding done":
        return f"winding {body.get('winding', '')} was wound"
    return "the core was stacked anew" if kind == "restack" and body.get("part") == ANEW else ""


def heat_limit(job: Job) -> HeatLimit:
    """By the class of insulation that the job asks for: 90 °C for A and where it asks for none."""
    letter = job.targets.temperature_class
    if letter in ("", "A"):
        whose = "of class A" if letter else "for insulation of which the job says no class"
        return HeatLimit(OLD_UNITS, f"{show(OLD_UNITS, 'K')} {whose}", "too_hot_old")
    limit = thermal_class(load_table("limits", "insulation-classes"), STANDARD, letter)
    memory = ", from memory: check your copy" if limit.memory else ""
    temperature = limit.limit + 273.15
    words = f"{show(temperature, 'K')} of class {letter} by {STANDARD}{memory}"
    return HeatLimit(temperature, words, "too_hot_class")


def judged(one: Varnish, limit: HeatLimit, photographs: int, compared: Iterable[Compared] = ()) -> tuple[Remark, ...]:
    """What is wrong with it, what is not said of it, and what is worth knowing; warnings first.

    compared: readings before varnish and after, where both were taken.
    """
    said = {"varnish": one.name, "method": one.method}
    remarks = [*_heats(one, limit), *_mass(one), *unanswered(QUESTIONS, said)]
    for pair in compared:
        if pair.sign:
            consequence = f"A sign of this: {pair.sign}."
            remarks.append(Remark("changed_by_varnish", Weight.WARNING, pair.words, consequence))
    if one.because:
        words = f"begun although it was not ready, because: {one.because}"
        remarks.append(remark("begun_although", Weight.NOTE, words))
    if one.predry is None:
        remarks.append(remark("no_predry", Weight.NOTE, "not said that it was dried before varnish"))
    if not photographs:
        remarks.append(remark("no_photograph", Weight.NOTE, "no photograph is kept"))
    return by_weight(remarks)


def _heats(one: Varnish, limit: HeatLimit) -> list[Remark]:
    named = [(f"bake, step {step}", bake_key(step), heat) for step, heat in one.bakes]
    if one.predry is not None:
        named.insert(0, ("drying before varnish", "predry", one.predry))
    remarks = []
    for words, about, heat in named:
        if heat.temperature is not None and heat.temperature > limit.temperature + 0.01:
            told = f"{words}: {heat} is above the {limit.words}"
            remarks.append(replace(remark(limit.remark, Weight.WARNING, told), about=about))
    for step, heat in one.bakes:
        if heat.time is None:
            untimed = remark("no_bake_time", Weight.WARNING, f"bake, step {step}: {heat}, without its time")
            remarks.append(replace(untimed, about=bake_key(step)))
        if heat.temperature is None:
            told = f"bake, step {step}: {heat}, without its temperature"
            remarks.append(replace(remark("no_bake_temperature", Weight.WARNING, told), about=bake_key(step)))
    if not one.bakes:
        remarks.append(remark("bake", Weight.MISSING, "bake, with temperature and time"))
    return remarks


def _mass(one: Varnish) -> list[Remark]:
    before, after = one.mass_before, one.mass_after
    if before is None or after is None:
        return []
    gained = after - before
    told = f"{show(before, 'kg')} before, {show(after, 'kg')} after"
    if gained < 0:
        return [remark("lighter", Weight.WARNING, f"{told}: {show(-gained, 'kg', 3)} lighter than before")]
    if after > _MUCH_HEAVIER * before:
        return [remark("much_heavier", Weight.WARNING, f"{told}: {after / before:.3g} times as much")]
    gain = f"{show(gained, 'kg', 3)} of varnish, {gained / before * 100:.1f} %"
    return [remark("taken_up", Weight.NOTE, f"{told}: {gain}")]

"""Which unit it is, how it was put together again, and when: a line each."""

from __future__ import annotations

from collections.abc import Sequence

from bench.job.model import Identity, Job
from bench.quantities import show
from bench.records.entry import Entry, Kind
from bench.winding.restack_words import QUESTIONS as RESTACK_QUESTIONS
from bench.winding.stage import Answered, Question, answered
from bench.winding.varnish import bake_steps
from bench.winding.varnish_words import AFTER_THE_BAKE, BEFORE_THE_BAKE, bake_question

__all__ = ["Row", "unit_rows"]

Row = tuple[str, ...]


def unit_rows(job: Job, identity: Identity, entries: Sequence[Entry], tested: int) -> tuple[Row, ...]:
    """entries: of the job, up to the certificate;  tested: number of the result's entry."""
    equipment = " ".join(part for part in (identity.equipment, identity.model) if part)
    rows = [
        ("Equipment", equipment),
        ("Maker", identity.maker),
        ("Serial number", identity.serial),
        ("Owner", identity.owner),
        ("Received", identity.received),
        ("Reason", identity.fault),
        ("Remark", identity.note),
        ("Wound", _wound(entries, tested)),
        ("Core", _core(job)),
        ("Stacked", _stacked(entries, tested)),
        ("Screen", _screens(job)),
        ("Insulation", _insulation(job)),
        _varnish(entries, tested),
    ]
    return tuple((what, value) for what, value in rows if value)


def _wound(entries: Sequence[Entry], tested: int) -> str:
    """From the first winding that was finished to the last, before the test."""
    days = [one.at[:10] for one in entries if one.kind == Kind.WINDING_DONE and one.seq < tested]
    if not days:
        return ""
    return days[0] if days[0] == days[-1] else f"{days[0]} to {days[-1]}"


def _core(job: Job) -> str:
    core = job.core
    shape = core.shape
    parts = [
        core.lamination,
        "" if shape is None else f"tongue {show(shape.tongue, 'm', 3)}",
        f"stack {show(core.stack, 'm', 3)}" if core.stack else "",
        f"steel section {core.net_area * 1e4:.2f} cm²" if core.net_area else "",
        f"steel {core.steel} by the job file" if core.steel else "",
        core.interleave,
        "closed band" if core.band else "",
    ]
    return ", ".join(part for part in parts if part)


def _stacked(entries: Sequence[Entry], tested: int) -> str:
    known = answered((one.seq, one.body) for one in entries if one.kind == Kind.RESTACK and one.seq < tested)
    return _answers(known, RESTACK_QUESTIONS)


def _screens(job: Job) -> str:
    said = [
        f"{one.material or 'screen'} {show(one.thickness, 'm', 2)} on {one.after}"
        f"{'' if one.overlap_insulated else ', its overlap NOT insulated by the job file'}"
        for one in job.screen
    ]
    return "; ".join(said) or "none"


def _insulation(job: Job) -> str:
    laid = job.insulation
    lengths = (
        (laid.former_thickness, "former"),
        (laid.margin, "margin"),
        (laid.between_layers, "between layers"),
        (laid.between_windings, "between windings"),
    )
    parts = [f"{words} {show(value, 'm', 3)}" for value, words in lengths if value]
    return "; ".join(part for part in (", ".join(parts), laid.note) if part)


def _varnish(entries: Sequence[Entry], tested: int) -> Row:
    """It may come after the test: then that is said."""
    known = answered((one.seq, one.body) for one in entries if one.kind == Kind.VARNISH)
    if known.begun is None:
        return ("Varnish", "none on record at this test")
    bakes = [bake_question(step) for step in bake_steps(known)]
    told = _answers(known, (*BEFORE_THE_BAKE, *bakes, *AFTER_THE_BAKE))
    day = next((one.at[:10] for one in entries if one.seq == known.begun), "")
    when = f"begun {day}" if known.begun < tested else f"begun {day}, after this test"
    return ("Varnish", "; ".join(part for part in (when, told) if part))


def _answers(known: Answered, questions: Sequence[Question]) -> str:
    said = ((one.words, known.text(one.key)) for one in questions)
    return ", ".join(f"{words} {text}" for words, text in said if text is not None)

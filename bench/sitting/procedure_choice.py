"""Which procedure a test takes, by what was asked for or by what the record says, and what an earlier test read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry, Kind
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.acceptance.result import StepResult
    from bench.job.procedure_file import ProcedureFile

__all__ = ["chosen_procedure", "read_before", "varnish_begun"]

_BEFORE, _AFTER = "before-varnish", "after-varnish"


def chosen_procedure(text: str | None, entries: Sequence[Entry]) -> tuple[ProcedureFile, dict[str, Any]]:
    """A shipped one by its name, one in a file, or the one that is due: before varnish until that is recorded as begun;
    with the limits that it judges by.

    Raises BadInput with every problem.
    """
    from bench.acceptance.phases import phases_of
    from bench.job.file import FileProblem
    from bench.job.procedure_file import read_procedure, shipped_procedure
    from bench.job.profiles import known
    from bench.job.rules_file import rules_of

    wanted = text or (_BEFORE if varnish_begun(entries) is None else _AFTER)
    try:
        if wanted in known("procedures"):
            found = shipped_procedure(wanted)
        elif wanted.endswith(".toml") or Path(wanted).exists():
            found = read_procedure(Path(wanted))
        else:
            names = ", ".join(known("procedures"))
            raise BadInput(f"--procedure {wanted!r}: expected one of {names}, or a file such as ours.toml")
        phases_of(found)
        rules = rules_of(found.rules, Path(wanted).parent)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    except ValueError as problem:
        raise BadInput(f"{wanted}: {problem}") from None
    return found, rules


def varnish_begun(entries: Sequence[Entry]) -> int | None:
    """Place among the entries at which the unit's present varnish was begun; None where it has none, or where it was
    wound or stacked anew since then."""
    from bench.winding.stage import ANEW

    begun: int | None = None
    for place, one in enumerate(entries):
        anew = one.kind == Kind.RESTACK and one.body.get("part") == ANEW
        if one.kind == Kind.WINDING_DONE or anew or (one.kind == Kind.VARNISH and one.body.get("part") == ANEW):
            begun = None
        elif one.kind == Kind.VARNISH and begun is None:
            begun = place
    return begun


def read_before(procedure: ProcedureFile, entries: Sequence[Entry]) -> Mapping[str, StepResult]:
    """Results of the last test of the stage before this procedure's, by step; none before varnish, or where none was
    made."""
    from bench.acceptance.result import step_result_of
    from bench.job.procedure_file import Stage
    from bench.winding.varnish import tests_before

    if procedure.stage is Stage.BEFORE_VARNISH:
        return {}
    begun = varnish_begun(entries)
    earlier = entries if begun is None or procedure.stage is Stage.IN_EQUIPMENT else entries[:begun]
    if begun is None and procedure.stage is Stage.AFTER_VARNISH:
        return {}
    result = tests_before((one.kind, one.body) for one in earlier)
    if result is None:
        return {}
    return {str(step["id"]): step_result_of(step) for step in result.get("steps") or ()}

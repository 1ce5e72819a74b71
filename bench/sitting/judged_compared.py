"""A test judged again beside what was judged then: step by step, and which limits and tables are others now."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bench.acceptance.report import limit_text, value_text
from bench.acceptance.result import Finding, StepResult
from bench.job.profiles import known, table_text
from bench.records.kept_profiles import JUDGED_BY, RULES
from bench.sitting.judge_again import JudgedAgain

__all__ = ["Changed", "StepCompared", "changed_rules", "changed_tables", "judged_document", "judged_lines",
           "steps_compared"]  # fmt: skip

_SAME = 1e-9
_APART = ("schema", "name", "over")


@dataclass(frozen=True)
class StepCompared:
    """then, now: None where the step was not judged;  differs: what is another, in words, empty where nothing is."""

    id: str
    label: str
    then: StepResult | None
    now: StepResult | None
    differs: tuple[str, ...]


@dataclass(frozen=True)
class Changed:
    """One limit.  key: such as `ratio.tolerance`;  then, now: None where it was not there;  basis: where it is from."""

    key: str
    then: Any
    now: Any
    basis_then: str
    basis_now: str

    @property
    def words(self) -> str:
        said = f"{self.key}: {_plain(self.then)} then, {_plain(self.now)} now"
        if self.basis_now and self.basis_now != self.basis_then:
            return f"{said} (then by: {self.basis_then or 'nothing said'}; now by: {self.basis_now})"
        return f"{said} ({self.basis_now})" if self.basis_now else said


def steps_compared(judged: JudgedAgain) -> tuple[StepCompared, ...]:
    """Each step of either, in the order of today's walk, those that are no more at the end."""
    then = {one.id: one for one in (() if judged.then is None else judged.then.steps)}
    now = {one.id: one for one in judged.now.steps}
    names = [*now, *(name for name in then if name not in now)]
    return tuple(_compared(name, then.get(name), now.get(name), judged) for name in names)


def changed_rules(judged: JudgedAgain) -> tuple[Changed, ...]:
    """Limits that are not those of then; nothing where the record does not keep them."""
    said = {} if judged.test.sitting is None else judged.test.sitting.body.get(JUDGED_BY) or {}
    kept = judged.grounds.contents.get(str(said.get(RULES)))
    if kept is None:
        return ()
    then, now = kept.table, judged.grounds.rules
    found = []
    for name in dict.fromkeys((*then, *now)):
        if name not in _APART:
            found += _changed_in(name, then.get(name), now.get(name))
    return tuple(found)


def changed_tables(judged: JudgedAgain) -> tuple[str, ...]:
    """Steels, wires and other tables that are not as they were kept, such as `steels m400-50a`."""
    texts = judged.grounds.tables.texts
    return tuple(
        f"{kind} {name}"
        for (kind, name), text in sorted(texts.items())
        if name not in known(kind) or table_text(kind, name) != text
    )


def judged_document(judged: JudgedAgain) -> dict[str, Any]:
    """All of it for a program."""
    then = judged.then
    return {
        "schema": 1,
        "job": judged.test.entries[0].job,
        "test": judged.test.number,
        "begun": judged.test.begun,
        "procedure": judged.grounds.procedure.name,
        "rules": judged.grounds.rules_name,
        "by": "the record" if judged.grounds.tables.before_shipped else "today",
        "notes": list(judged.notes),
        "verdict": {"then": None if then is None else str(then.verdict), "now": str(judged.now.verdict)},
        "steps": [
            {
                "id": one.id,
                "label": one.label,
                "then": None if one.then is None else one.then.as_json(),
                "now": None if one.now is None else one.now.as_json(),
                "differs": list(one.differs),
            }
            for one in steps_compared(judged)
        ],
        "rules_changed": [
            {"key": one.key, "then": one.then, "now": one.now, "basis_then": one.basis_then,
             "basis_now": one.basis_now}
            for one in changed_rules(judged)
        ],
        "tables_changed": list(changed_tables(judged)),
        "findings": {
            "then": [one.as_json() for one in (() if then is None else then.findings)],
            "now": [one.as_json() for one in judged.now.findings],
        },
        "not_done": {
            "then": [one.as_json() for one in (() if then is None else then.not_done)],
            "now": [one.as_json() for one in judged.now.not_done],
        },
    }  # fmt: skip


def judged_lines(judged: JudgedAgain) -> list[str]:
    """All of it for a person."""
    test, by_record = judged.test, judged.grounds.tables.before_shipped
    named = judged.grounds.procedure.name
    begun = test.begun[:16].replace("T", " ")
    by = "by the rules that its record holds" if by_record else f"by today's rules ({judged.grounds.rules_name})"
    lines = [f"{test.entries[0].job}, test {test.number}, {named}, begun {begun} UTC: judged again {by}"]
    lines += [f"  note: {note}" for note in judged.notes]
    steps = steps_compared(judged)
    lines += ["", _ROW.format("step", "measured", "limit then", "limit now", "then", "now"), "-" * 122]
    lines += [_row(one) for one in steps]
    different = [one for one in steps if one.differs]
    lines += ["", f"{len(steps) - len(different)} of {len(steps)} steps are judged as they were then."]
    lines += [f"  {one.label}: {'; '.join(one.differs)}" for one in different]
    rules, tables = changed_rules(judged), changed_tables(judged)
    if not by_record and (rules or tables):
        lines += ["", "Others than then:"]
        lines += [f"  {one.words}" for one in rules] + [f"  {one}" for one in tables]
    lines += _finding_lines(judged)
    if judged.then is None:
        lines += ["", "The test came to no result then."]
    then = "none" if judged.then is None else judged.then.verdict.upper()
    lines += ["", f"Verdict of the unit: {then} then, {judged.now.verdict.upper()} now. Nothing was written."]
    return lines


_ROW = "{:<40} {:>11}  {:<24} {:<24} {:<10} {}"


def _row(one: StepCompared) -> str:
    step = one.now or one.then
    assert step is not None
    measured = step.state if step.measured is None else value_text(step.measured, step.unit)
    limits = ["" if each is None else limit_text(each) for each in (one.then, one.now)]
    verdicts = ["-" if each is None else str(each.verdict) for each in (one.then, one.now)]
    if limits[0] == limits[1] and not one.differs:
        limits[1] = '"' if limits[0] else ""
    return _ROW.format(one.label, measured, *limits, *verdicts).rstrip()


def _compared(name: str, then: StepResult | None, now: StepResult | None, judged: JudgedAgain) -> StepCompared:
    either = now or then
    assert either is not None
    return StepCompared(name, either.label, then, now, tuple(_differences(name, then, now, judged)))


def _differences(name: str, then: StepResult | None, now: StepResult | None, judged: JudgedAgain) -> list[str]:
    if then is None:
        return [] if judged.then is None else ["was not judged then"]
    if now is None:
        reason = next((one.reason for one in judged.now.not_done if one.id == name), "no step of this procedure")
        return [f"not judged now: {reason}"]
    found = []
    if then.verdict is not now.verdict:
        found.append(f"{then.verdict} then, {now.verdict} now")
    for what, before, after in (("lower limit", then.lower, now.lower), ("upper limit", then.upper, now.upper)):
        if not _alike(before, after):
            found.append(f"{what} {_limit(before, then.unit)} then, {_limit(after, now.unit)} now")
    if (
        not _alike(then.lower, now.lower) or not _alike(then.upper, now.upper) or then.basis != now.basis
    ) and now.basis:
        basis = f"basis: {now.basis}" if then.basis == now.basis else f"basis then: {then.basis}; now: {now.basis}"
        found.append(basis)
    for what, before, after in (("value", then.measured, now.measured), ("design", then.expected, now.expected)):
        if not _alike(before, after):
            found.append(f"{what} {_limit(before, then.unit)} then, {_limit(after, now.unit)} now")
    if not _alike(then.u, now.u):
        found.append(f"U {2 * then.u:.3g} {then.unit} then, {2 * now.u:.3g} now")
    return found


def _finding_lines(judged: JudgedAgain) -> list[str]:
    then = () if judged.then is None else judged.then.findings
    now = judged.now.findings
    if not then and not now:
        return []
    return ["", "Findings then: " + _findings(then), "Findings now:  " + _findings(now)]


def _findings(findings: tuple[Finding, ...]) -> str:
    told = (
        f"{one.fault}{f' of {one.winding}' if one.winding else ''}{f' ({one.size})' if one.size else ''} "
        f"{100 * one.probability:.0f} %"
        for one in findings
    )
    return ", ".join(told) or "none"


def _changed_in(name: str, then: Any, now: Any) -> list[Changed]:
    if not isinstance(then, Mapping) or not isinstance(now, Mapping):
        return [] if then == now else [Changed(name, then, now, "", "")]
    bases = ["; ".join(str(value) for key, value in each.items() if "basis" in key) for each in (then, now)]
    return [
        Changed(f"{name}.{key}", then.get(key), now.get(key), *bases)
        for key in dict.fromkeys((*then, *now))
        if "basis" not in key and then.get(key) != now.get(key)
    ]


def _alike(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=_SAME, abs_tol=1e-15)


def _limit(value: float | None, unit: str) -> str:
    return "none" if value is None else value_text(value, unit)


def _plain(value: Any) -> str:
    return "none" if value is None else f"{value:g}" if isinstance(value, (int, float)) else str(value)

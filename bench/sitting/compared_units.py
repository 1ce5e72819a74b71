"""Two tests side by side: what differs by more than the doubt of both, with what one meter has in common cancelled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bench.acceptance.decision import COVERAGE
from bench.acceptance.report import value_text
from bench.acceptance.result import StepResult, TestResult
from bench.estimate import Estimate
from bench.records.entry import Entry
from bench.records.search.fold import instrument_key
from bench.sitting.kept_tests import KeptTest, chosen_test, kept_tests, result_of
from bench.sitting.problems import BadInput

__all__ = [
    "Compared",
    "ComparedRow",
    "before_and_after",
    "compared_document",
    "compared_lines",
    "compared_tests",
    "named_test",
]

_SHARED = ("gain", "offset", "leads")
"""What of a meter's doubt is the same at each reading of one range, for as long as it is not calibrated anew."""
_AFTER = ("after varnish", "after-varnish")
_OTHER_VOLTS = 0.01


@dataclass(frozen=True)
class ComparedRow:
    """one, other: None where a test has no such step;  difference, U: of other less one, k = 2, None where there are no
    two values;  significant: whether the difference is larger than its own doubt;  note: why to take it with care."""

    id: str
    label: str
    unit: str
    one: StepResult | None
    other: StepResult | None
    difference: float | None
    U: float | None
    significant: bool
    note: str = ""


@dataclass(frozen=True)
class Compared:
    """shared: keys of the meters whose gain and offset cancel;  notes: what could not be taken as shared."""

    one: KeptTest
    other: KeptTest
    results: tuple[TestResult, TestResult]
    rows: tuple[ComparedRow, ...]
    shared: tuple[str, ...]
    notes: tuple[str, ...]


def before_and_after(entries: Sequence[Entry], job: str) -> tuple[KeptTest, KeptTest]:
    """The last finished test before varnish and the last one after it; raises BadInput where either lacks."""
    tests = [one for one in kept_tests(entries) if one.result is not None]
    after = [one for one in tests if one.procedure in _AFTER]
    if not after:
        if len(tests) < 2:
            kept = "one finished test" if tests else "no finished test"
            raise BadInput(f"{job}: {kept} in its record yet, expected one before varnish and one after it")
        raise BadInput(f"{job}: no finished test after varnish; `record compare {job}:1 {job}:2` compares any two of "
                       f"its {len(tests)}")  # fmt: skip
    before = [one for one in tests if one.number < after[-1].number and one.procedure not in _AFTER]
    if not before:
        raise BadInput(f"{job}: no finished test before the one after varnish")
    return before[-1], after[-1]


def compared_tests(one: KeptTest, other: KeptTest) -> Compared:
    """Raises BadInput for a test that came to no result."""
    results = (_result(one), _result(other))
    shared, notes = _shared_meters(one, other)
    steps = [{step.id: step for step in each.steps} for each in results]
    names = list(dict.fromkeys((*steps[0], *steps[1])))
    rows = tuple(_row(name, steps[0].get(name), steps[1].get(name), shared) for name in names)
    return Compared(one, other, results, rows, tuple(sorted(set(shared.values()))), tuple(notes))


def compared_document(compared: Compared) -> dict[str, Any]:
    """All of it for a program."""
    return {
        "schema": 1,
        "units": [
            {
                "job": test.entries[0].job,
                "test": test.number,
                "procedure": test.procedure,
                "begun": test.begun,
                "verdict": str(result.verdict),
            }
            for test, result in zip((compared.one, compared.other), compared.results, strict=True)
        ],
        "shared_meters": list(compared.shared),
        "notes": list(compared.notes),
        "k": COVERAGE,
        "steps": [
            {
                "id": row.id,
                "label": row.label,
                "unit": row.unit,
                "values": [None if step is None else step.measured for step in (row.one, row.other)],
                "uncertainties": [None if step is None else COVERAGE * step.u for step in (row.one, row.other)],
                "verdicts": [None if step is None else str(step.verdict) for step in (row.one, row.other)],
                "difference": row.difference,
                "uncertainty": row.U,
                "significant": row.significant,
                "note": row.note,
            }
            for row in compared.rows
        ],
    }


def compared_lines(compared: Compared) -> list[str]:
    """All of it for a person."""
    lines = []
    for letter, test, result in zip("AB", (compared.one, compared.other), compared.results, strict=True):
        begun = test.begun[:16].replace("T", " ")
        lines.append(f"{letter}  {test.entries[0].job}, test {test.number}, {test.procedure or 'no procedure told'}, "
                     f"begun {begun} UTC: {result.verdict.upper()}")  # fmt: skip
    if compared.shared:
        lines.append(f"Read with the same meter ({', '.join(compared.shared)}): its gain and offset cancel.")
    lines += [f"note: {note}" for note in compared.notes]
    lines += ["", _ROW.format("step", "A", "B", "B less A", "U, k = 2", "", "A", "B"), "-" * 118]
    lines += [_line(row) for row in compared.rows]
    many = sum(row.significant for row in compared.rows)
    both = sum(row.difference is not None for row in compared.rows)
    lines += ["", f"{many} of {both} values that both have differ by more than the doubt of their difference (*)."]
    return lines


_ROW = "{:<40} {:>11} {:>11} {:>11} {:>10} {:<1} {:<10} {}"


def _line(row: ComparedRow) -> str:
    values = [
        "-" if step is None else step.state if step.measured is None else value_text(step.measured, step.unit)
        for step in (row.one, row.other)
    ]
    difference = doubt = ""
    if row.difference is not None and row.U is not None:
        base = abs(row.one.measured or 0.0) if row.one is not None else 0.0
        if base and row.unit not in ("1", "share", "K rise"):
            difference, doubt = f"{100 * row.difference / base:+.3f} %", f"{100 * row.U / base:.3f} %"
        else:
            difference, doubt = f"{row.difference:+.3g}", f"{row.U:.2g}"
    verdicts = ["-" if step is None else str(step.verdict) for step in (row.one, row.other)]
    mark = "*" if row.significant else ""
    said = _ROW.format(row.label, *values, difference, doubt, mark, *verdicts).rstrip()
    return f"{said}  ({row.note})" if row.note else said


def _result(test: KeptTest) -> TestResult:
    if test.result is None:
        raise BadInput(f"{test.entries[0].job}: test {test.number} came to no result, expected a finished one")
    return result_of(test.result.body)


def _shared_meters(one: KeptTest, other: KeptTest) -> tuple[dict[str, str], list[str]]:
    """Names under which meters of both tests stand in the sources of doubt, with which meter that is, where it is one
    and the same in both and was not calibrated in between."""
    found: dict[str, str] = {}
    notes = []
    theirs = {key: body for body in other.meters if (key := _sure_key(body))}
    for body in one.meters:
        key = _sure_key(body)
        if not key:
            notes.append(f"meter {body.get('name') or body.get('use')}: has no name, identity or serial number that "
                         "tells it from another, so nothing cancels")  # fmt: skip
        elif key in theirs:
            again = theirs[key]
            if _calibration(body) != _calibration(again):
                notes.append(f"meter {key}: was calibrated between the two, so nothing cancels")
                continue
            for each in (body, again):
                found |= {str(each[name]): key for name in ("use", "name") if each.get(name)}
    return found, notes


def _sure_key(body: Mapping[str, Any]) -> str:
    """Empty for a meter that may be any."""
    if body.get("serial") or body.get("serial_read"):
        return instrument_key(body)
    if body.get("use") == "hand":
        return "" if body.get("name") in ("", "hand", None) else str(body["name"])
    named = body.get("name") not in ("", None, body.get("use"))
    return instrument_key(body) if named or body.get("identity") else ""


def _calibration(body: Mapping[str, Any]) -> tuple[Any, ...]:
    return body.get("calibrated") or "", body.get("certificate") or ""


def _row(name: str, one: StepResult | None, other: StepResult | None, shared: dict[str, str]) -> ComparedRow:
    either = one or other
    assert either is not None
    if one is None or other is None or one.measured is None or other.measured is None or one.unit != other.unit:
        return ComparedRow(name, either.label, either.unit, one, other, None, None, False)
    apart = _estimate(other, "B", shared) - _estimate(one, "A", shared)
    U = COVERAGE * apart.u
    note = ""
    if one.at_volts and other.at_volts and abs(one.at_volts - other.at_volts) > _OTHER_VOLTS * abs(one.at_volts):
        note = f"at {value_text(one.at_volts, 'V')} and {value_text(other.at_volts, 'V')}"
    significant = abs(apart.value) > U and U > 0 and not note
    return ComparedRow(name, either.label, either.unit, one, other, apart.value, U, significant, note)


def _estimate(step: StepResult, letter: str, shared: dict[str, str]) -> Estimate:
    """With the sources that both tests have in common under one name, and all others under the test's own."""
    parts: dict[str, float] = {}
    for component in step.components:
        source = _common(component.source, shared) or f"{letter} {component.source}"
        parts[source] = parts.get(source, 0.0) + component.sensitivity * component.u
    assert step.measured is not None
    known = Estimate(step.measured, parts)
    rest = step.u**2 - known.u**2
    return known.also(f"{letter} not named", rest**0.5) if rest > 1e-12 * step.u**2 else known


def _common(source: str, shared: dict[str, str]) -> str:
    if not source.endswith(_SHARED):
        return ""
    for name, key in shared.items():
        if source.startswith(f"{name}:"):
            return f"{key}:{source.removeprefix(f'{name}:')}"
    return ""


def named_test(entries: Sequence[Entry], job: str, number: int | None) -> KeptTest:
    """That test of a job, or its last finished one."""
    if number is not None:
        return chosen_test(entries, job, number)
    finished = [one for one in kept_tests(entries) if one.result is not None]
    return finished[-1] if finished else chosen_test(entries, job, None)

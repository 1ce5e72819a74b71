"""A test's result as plain text: designed, measured, deviation, limit, verdict; then findings and what was left out."""

from __future__ import annotations

import textwrap

from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import Finding, NotDone, StepResult, TestResult
from bench.quantities import show

__all__ = ["doubt_text", "report", "step_line", "value_text"]

_MARK = {
    Verdict.ACCEPTED: "ok",
    Verdict.REJECTED: "REJECTED",
    Verdict.UNDECIDED: "undecided",
    Verdict.TROUBLE: "TROUBLE",
    Verdict.NOT_DONE: "recorded",
}
_INDENT = " " * 11
_COLUMNS = f"{'step':<38} {'designed':>11} {'measured':>11} {'deviation':>10}  {'limit':<24} verdict"


def report(result: TestResult, explain: dict[str, str]) -> str:
    """The whole result; `explain` holds a sentence for each finding, by fault and winding."""
    lines = [_COLUMNS, "-" * len(_COLUMNS)]
    lines += [step_line(step) for step in result.steps]
    notes = [step for step in result.steps if step.note and step.verdict is not Verdict.ACCEPTED]
    if notes:
        lines += ["", *(f"  {step.label}: {step.note}" for step in notes)]
    if result.findings:
        lines += ["", "What would explain these readings:"]
        for finding in result.findings:
            lines += _finding_lines(finding, explain[f"{finding.fault}:{finding.winding}"])
    if result.next is not None:
        lines += ["", *_hung("Next: ", f"{result.next.step} ({result.next.why})")]
    if result.not_done:
        lines += ["", "Not done (in brackets: not required):"]
        lines += _not_done_lines(result.not_done)
    lines += ["", f"Tested. Verdict of the unit: {result.verdict.upper()}"]
    return "\n".join(lines)


def step_line(step: StepResult) -> str:
    """One row of the table; no deviation where its own doubt is as large as what is designed."""
    deviation = ""
    if step.measured is not None and step.expected and COVERAGE * (step.u or 0.0) < abs(step.expected):
        deviation = f"{(step.measured / step.expected - 1) * 100:+.2f} %"
    measured = value_text(step.measured, step.unit) if step.measured is not None else step.state
    expected = "" if step.expected is None else value_text(step.expected, step.unit)
    mark = _MARK.get(step.verdict, str(step.verdict))
    return f"{step.label:<38} {expected:>11} {measured:>11} {deviation:>10}  {limit_text(step):<24} {mark}"


def limit_text(step: StepResult) -> str:
    """The limits of a step in its own unit."""
    lower = None if step.lower is None else value_text(step.lower, step.unit)
    upper = None if step.upper is None else value_text(step.upper, step.unit)
    if lower is not None and upper is not None:
        return f"{lower} .. {upper}"
    if upper is not None:
        return f"up to {upper}"
    return "" if lower is None else f"from {lower}"


def value_text(value: float, unit: str) -> str:
    """A value in the unit people read it in."""
    if unit == "turns":
        return f"{value:.2f} t"
    if unit == "1":
        return f"{value:+.2f}"
    if unit == "share":
        return f"{value * 100:+.1f} %"
    if unit == "K rise":  # a difference: no degrees Celsius
        return f"{value:.1f} K"
    if unit == "T field":  # in microtesla, where steel is in tesla
        return f"{value * 1e6:.3g} µT"
    return show(value, unit)


def doubt_text(expanded: float, unit: str) -> str:
    """An expanded uncertainty, to two digits, in the unit people read it in."""
    if unit == "share":
        return f"±{expanded * 100:.2g} %"
    if unit == "K rise":
        return f"±{expanded:.2g} K"
    if unit == "T field":
        return f"±{expanded * 1e6:.2g} µT"
    return f"±{expanded:.2g}" if unit in ("turns", "1") else f"±{show(expanded, unit, 2)}"


def _not_done_lines(not_done: tuple[NotDone, ...]) -> list[str]:
    """Steps that share a reason stand together."""
    by_reason: dict[str, list[str]] = {}
    for one in not_done:
        by_reason.setdefault(one.reason, []).append(one.id if one.required else f"({one.id})")
    return [f"  {', '.join(steps)}: {reason}" for reason, steps in by_reason.items()]


def _finding_lines(finding: Finding, sentence: str) -> list[str]:
    lines = _hung(f"  {finding.probability * 100:5.1f} %  ", sentence)
    for evidence in finding.evidence:
        lines += _hung(f"{_INDENT}- ", evidence)
    lines += _hung(f"{_INDENT}to settle it: ", finding.check)
    if len(finding.rungs) == 1:
        return lines + _hung(f"{_INDENT}remedy: ", finding.remedy)
    lines.append(f"{_INDENT}remedy, the least work first:")
    for number, rung in enumerate(finding.rungs, 1):
        lines += _hung(f"{_INDENT}{number}  ", rung)
    return lines


def _hung(start: str, words: str) -> list[str]:
    """Words behind what they start with, broken at the table's width and hung below their own first word."""
    below = " " * min(len(start), len(_INDENT) + 3)
    return textwrap.wrap(
        words, len(_COLUMNS), initial_indent=start, subsequent_indent=below, break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip

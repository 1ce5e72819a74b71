"""What is said at the end, and what can be said before it: sentences from the result, without Qt."""

from __future__ import annotations

from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.acceptance.report import limit_text
from bench.acceptance.result import Finding, StepResult, TestResult
from bench.dashboard.acceptance.comparison import Column, cell_text, nearest_to_a_limit
from bench.dashboard.state import Snapshot
from bench.diagnosis.faults import FAULTS
from bench.whole_test import sentences

__all__ = [
    "MOST_FINDINGS",
    "FoundFault",
    "found_faults",
    "next_text",
    "not_done_text",
    "other_checks_text",
    "outcome_text",
    "quiet_text",
    "so_far_text",
    "to_settle_text",
]

MOST_FINDINGS = 3
_EVIDENCE = 4  # the table beside it shows every reading
_MOST_KINDS = 9
"""Lines of other checks: more would be too small to read."""
_NAMED_STEPS = 3
_NAMED_DOUBTS = 2
_SUSPECTED, _LIKELY = 0.2, 0.5
_ALL_IS_WELL = "No fault is needed to explain these readings."


@dataclass(frozen=True)
class FoundFault:
    """A finding as it is shown: probability from 0 to 1, what speaks for it, what to check next, what mends it."""

    sentence: str
    probability: float
    evidence: str
    check: str
    remedy: str


def found_faults(result: TestResult) -> tuple[FoundFault, ...]:
    """The most probable findings; none for an accepted unit, of which `quiet_text` tells what little there is."""
    if result.verdict is Verdict.ACCEPTED:
        return ()
    words = sentences(result)
    return tuple(
        FoundFault(
            words[f"{finding.fault}:{finding.winding}"],
            finding.probability,
            "\n".join(f"· {evidence}" for evidence in finding.evidence[:_EVIDENCE]),
            finding.check,
            _ladder(finding),
        )
        for finding in _by_probability(result)[:MOST_FINDINGS]
    )


def next_text(result: TestResult) -> str:
    """What to measure next, and what that would tell; empty where nothing would tell more."""
    if result.next is None or result.verdict is Verdict.ACCEPTED:
        return ""
    return f"Measure next: {result.next.step} - {result.next.why}"


def to_settle_text(state: Snapshot) -> str:
    """Of a test that goes on: what would settle the likeliest fault; empty while nothing is likely."""
    likely = next((one for one in state.suspicions if one.probability >= _LIKELY), None)
    if likely is None:
        return ""
    fault = FAULTS.get(likely.fault.partition("+")[0])
    return "" if fault is None else f"After the test, to settle it: {fault.CHECK}"


def _ladder(finding: Finding) -> str:
    """The remedy, a rung a line where it has several."""
    rungs = finding.rungs
    return rungs[0] if len(rungs) == 1 else "\n".join(f"{number} {rung}" for number, rung in enumerate(rungs, 1))


def outcome_text(result: TestResult) -> str:
    """What the verdict rests on, in a sentence; "tested" and never more than that."""
    count = {verdict: sum(step.verdict is verdict for step in result.steps) for verdict in Verdict}
    said = [f"Tested: {len(result.steps)} steps."]
    if count[Verdict.REJECTED]:
        said.append(f"{count[Verdict.REJECTED]} outside the limits.")
    if count[Verdict.UNDECIDED]:
        said.append(f"{count[Verdict.UNDECIDED]} that this meter can't tell.")
    if count[Verdict.TROUBLE]:
        said.append(f"{count[Verdict.TROUBLE]} laid to an instrument, a reading or the supply.")
    missing = sum(one.required for one in result.not_done)
    if missing:
        said.append(f"{missing} required {'step' if missing == 1 else 'steps'} not done.")
    if len(said) == 1 and count[Verdict.ACCEPTED] == len(result.steps):
        said.append("All inside their limits.")
    return " ".join(said)


def quiet_text(result: TestResult) -> str:
    """What to say when there is no finding: that all is well, or which steps are not."""
    lines = [_telling(step) for step in result.steps if step.verdict in _TOLD_AT_ONCE]
    lines.insert(0, "No known fault explains these readings:" if lines else _ALL_IS_WELL)
    nearest = nearest_to_a_limit(result.steps)
    if nearest is not None and len(lines) == 1:
        step, used = nearest
        lines.append(f"Nearest to its limit: {step.label}, {used * 100:.0f} % of the way with the meter's doubt.")
    words = sentences(result)
    for finding in _by_probability(result)[:1]:
        sentence = words[f"{finding.fault}:{finding.winding}"]
        lines.append(f"Likeliest fault all the same, {finding.probability * 100:.0f} %: {sentence}.")
    if result.next is not None:
        lines.append(f"To settle it: {result.next.step}.")
    return "\n".join(lines)


def not_done_text(result: TestResult) -> str:
    """What was left out, with the reason of each; steps that share a reason stand together."""
    reasons: dict[str, list[str]] = {}
    for one in result.not_done:
        reasons.setdefault(one.reason, []).append(one.id.replace(":", " ").replace("_", " "))
    lines = [f"Not done: {_few(steps)}: {why}" for why, steps in reasons.items()]
    return "\n".join(lines)


def other_checks_text(result: TestResult) -> str:
    """The steps that neither the table nor the plot shows, a line a kind, with the limit that they share."""
    shown = (*Column, "exciting")
    kinds: dict[str, list[StepResult]] = {}
    for step in result.steps:
        kind = step.id.partition(":")[0]
        if kind not in shown:
            kinds.setdefault(kind.replace("_", " "), []).append(step)
    lines = [f"· {kind}: {_values(steps)}" for kind, steps in kinds.items()]
    if len(lines) > _MOST_KINDS:
        left_out = ", ".join(list(kinds)[_MOST_KINDS - 1 :])
        lines = [*lines[: _MOST_KINDS - 1], f"· in the certificate: {left_out}"]
    return "\n".join(lines)


def _values(steps: list[StepResult]) -> str:
    values = ", ".join(f"{step.id.partition(':')[2]} {cell_text(step)[0]}".strip() for step in steps)
    limits = {limit_text(step).replace("ohm", "Ω") for step in steps}
    limit = limits.pop()
    return f"{values} (limit {limit})" if limit and not limits else values


def _few(steps: list[str]) -> str:
    return f"{len(steps)} steps" if len(steps) > _NAMED_STEPS else ", ".join(steps)


def so_far_text(state: Snapshot) -> str:
    """What can be said while the test goes on."""
    if not state.results:
        return "Findings come when the readings are in."
    likely = [one for one in state.suspicions if one.probability >= _SUSPECTED][:MOST_FINDINGS]
    told = [f"{one.probability:.0%} so far: {one.words}" for one in likely]
    # What a step's note adds behind its first clause stands in the steps, where there is room.
    doubtful = [_telling(step).partition(";")[0] for step in state.results if step.verdict in _TOLD_AT_ONCE]
    if not doubtful:
        doubtful = [f"{len(state.results)} steps done, nothing outside its limits so far."]
    elif len(doubtful) > _NAMED_DOUBTS:
        more = len(doubtful) - _NAMED_DOUBTS
        doubtful = [*doubtful[-_NAMED_DOUBTS:], f"and {more} before that {'was' if more == 1 else 'were'} not accepted"]
    return "\n".join((*told, *doubtful))


def _telling(step: StepResult) -> str:
    """A step that is not accepted, with what its own rule says of it."""
    return f"{step.label}: {step.verdict}" + (f", {step.note}" if step.note else "")


_TOLD_AT_ONCE = (Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE)


def _by_probability(result: TestResult) -> list[Finding]:
    return sorted(result.findings, key=lambda finding: -finding.probability)

"""What an acceptance test found: a step's result, a finding, and the unit's verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bench.acceptance.decision import COVERAGE, Verdict
from drivers.reading import Component

__all__ = [
    "BESIDES",
    "DANGEROUS",
    "DANGEROUS_PROBABILITY",
    "OR_ELSE",
    "Finding",
    "NextStep",
    "NotDone",
    "StepResult",
    "TestResult",
    "broke_off",
    "step_result_of",
    "unit_verdict",
]

DANGEROUS = frozenset({"turns_shorted", "screen_closed", "insulation_low", "screen_unearthed"})
DANGEROUS_PROBABILITY = 0.2
OR_ELSE = "; or else "
"""Between the rungs of a remedy, from the least work to the most."""
BESIDES = "; and besides "
"""Between the remedies of two faults at once."""


@dataclass(frozen=True)
class StepResult:
    """One step: what was measured, between which limits, on which ground, and what that proves.

    measured: SI, None unless state is good;  u: standard uncertainty;  at_volts: volts on the fed winding then.
    """

    id: str
    label: str
    quantity: str
    winding: str
    measured: float | None
    state: str
    unit: str
    verdict: Verdict
    required: bool = True
    expected: float | None = None
    u: float = 0.0
    components: tuple[Component, ...] = ()
    lower: float | None = None
    upper: float | None = None
    basis: str = ""
    probability: float | None = None
    at_volts: float | None = None
    raw: tuple[str, ...] = ()
    note: str = ""

    def as_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "label": self.label,
            "quantity": self.quantity,
            "winding": self.winding,
            "measured": self.measured,
            "state": self.state,
            "unit": self.unit,
            "expected": self.expected,
            "components": [{"source": c.source, "u": c.u, "sensitivity": c.sensitivity} for c in self.components],
            "uncertainty": COVERAGE * self.u,
            "k": COVERAGE,
            "lower": self.lower,
            "upper": self.upper,
            "basis": self.basis,
            "verdict": str(self.verdict),
            "probability": self.probability,
            "at_volts": self.at_volts,
            "raw": list(self.raw),
            "required": self.required,
            "note": self.note,
        }


def step_result_of(body: Mapping[str, Any]) -> StepResult:
    """A step's result as it was stored; what an older record lacks is left empty.  Raises KeyError, ValueError."""
    components = tuple(
        Component(str(one["source"]), float(one["u"]), float(one.get("sensitivity", 1.0)))
        for one in body.get("components") or ()
    )
    return StepResult(
        id=str(body["id"]),
        label=str(body.get("label", body["id"])),
        quantity=str(body.get("quantity", "")),
        winding=str(body.get("winding", "")),
        measured=None if body.get("measured") is None else float(body["measured"]),
        state=str(body.get("state", "")),
        unit=str(body.get("unit", "")),
        verdict=Verdict(str(body["verdict"])),
        required=bool(body.get("required", True)),
        expected=None if body.get("expected") is None else float(body["expected"]),
        u=float(body.get("uncertainty", 0.0)) / float(body.get("k", COVERAGE)),
        components=components,
        lower=body.get("lower"),
        upper=body.get("upper"),
        basis=str(body.get("basis", "")),
        probability=body.get("probability"),
        at_volts=body.get("at_volts"),
        raw=tuple(str(one) for one in body.get("raw") or ()),
        note=str(body.get("note", "")),
    )


@dataclass(frozen=True)
class Finding:
    """A fault that would explain the readings: where, how large, how probable, on what evidence, what settles it.

    remedy: what can be done before varnish, and what each costs; rungs joined by OR_ELSE, two faults by BESIDES.
    """

    fault: str
    winding: str
    size: str
    probability: float
    evidence: tuple[str, ...]
    check: str
    remedy: str

    @property
    def rungs(self) -> tuple[str, ...]:
        """The remedy's rungs one by one, those of a second fault told as such."""
        return tuple(self.remedy.replace(BESIDES, f"{OR_ELSE}and besides: ").split(OR_ELSE))

    def as_json(self) -> dict[str, Any]:
        return {
            "fault": self.fault,
            "winding": self.winding,
            "size": self.size,
            "probability": round(self.probability, 4),
            "evidence": list(self.evidence),
            "check": self.check,
            "remedy": self.remedy,
        }


_BROKEN_OFF = ("stopped:", "instrument trouble:", "volts to zero was not confirmed:", "not confirmed:")


def broke_off(reason: str) -> bool:
    """Whether a step was not done because the test was broken off: somebody stopped it, or an instrument failed."""
    return reason.startswith(_BROKEN_OFF)


@dataclass(frozen=True)
class NotDone:
    """A step that was not done, and why."""

    id: str
    reason: str
    required: bool

    def as_json(self) -> dict[str, Any]:
        return {"id": self.id, "reason": self.reason, "required": self.required}


@dataclass(frozen=True)
class NextStep:
    """The step that would tell most, and why;  answers: what is typed as a reading to give it back, one of them."""

    step: str
    why: str
    answers: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {"step": self.step, "why": self.why, "answers": list(self.answers)}


@dataclass(frozen=True)
class TestResult:
    """The unit's verdict with all that it rests on."""

    __test__ = False

    verdict: Verdict
    steps: tuple[StepResult, ...]
    findings: tuple[Finding, ...] = ()
    next: NextStep | None = None
    not_done: tuple[NotDone, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {
            "schema": 1,
            "verdict": str(self.verdict),
            "steps": [step.as_json() for step in self.steps],
            "findings": [finding.as_json() for finding in self.findings],
            "next": None if self.next is None else self.next.as_json(),
            "not_done": [one.as_json() for one in self.not_done],
        }


def unit_verdict(
    steps: tuple[StepResult, ...], findings: tuple[Finding, ...], not_done: tuple[NotDone, ...]
) -> Verdict:
    """The verdict of the unit, by the first rule that holds.

    Any step rejected; else an instrument or the supply at fault; else a required step not done; else any step undecided
    or a dangerous fault above 0.2; else accepted.  Findings never turn rejected into accepted.
    """
    verdicts = {step.verdict for step in steps}
    if Verdict.REJECTED in verdicts:
        return Verdict.REJECTED
    if Verdict.TROUBLE in verdicts:
        return Verdict.TROUBLE
    if any(one.required for one in not_done) or not steps:
        return Verdict.INCOMPLETE
    # Of two faults at once, named `one+other`, either may be the dangerous one.
    dangerous = any(DANGEROUS & {*f.fault.split("+")} and f.probability > DANGEROUS_PROBABILITY for f in findings)
    if Verdict.UNDECIDED in verdicts or dangerous:
        return Verdict.UNDECIDED
    return Verdict.ACCEPTED

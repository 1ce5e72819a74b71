"""From typed readings of a unit without a design to findings, and what they can't tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bench.acceptance.result import Finding, NextStep
from bench.diagnosis.faults import FAULTS
from bench.diagnosis.without_design.candidates import Candidate
from bench.diagnosis.without_design.evidence import Compared, compare
from bench.diagnosis.without_design.following import following
from bench.diagnosis.without_design.foretelling import Foreteller, coppers
from bench.diagnosis.without_design.known import Known, known_of
from bench.diagnosis.without_design.no_mains import AT_A_FEW_VOLTS, withheld
from bench.diagnosis.without_design.readings import Read, What
from bench.diagnosis.without_design.split_lines import split_lines
from bench.diagnosis.without_design.weighing import NOT_SHOWN, Weighed, weigh
from bench.diagnosis.without_design.words import not_told, size_of
from bench.job.model import Job

__all__ = ["NothingToCompare", "Told", "WithoutDesign"]


class NothingToCompare(ValueError):
    """None of the readings could be compared with anything; the text says why, one reason for each."""


@dataclass(frozen=True)
class Told:
    """good, not_shown: probability that nothing is wrong, and that it is a fault that none of these readings shows;
    compared: each reading beside what it was compared with;  not_told: what stays open."""

    good: float
    not_shown: float
    findings: tuple[Finding, ...]
    next: NextStep | None
    compared: tuple[str, ...]
    not_told: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "schema": 1,
            "design": False,
            "good": round(self.good, 4),
            "not_shown": round(self.not_shown, 4),
            "findings": [one.as_json() for one in self.findings],
            "next": None if self.next is None else self.next.as_json(),
            "compared": list(self.compared),
            "not_told": list(self.not_told),
        }


class WithoutDesign:
    """Weighs typed readings of one unit against its readings as found and its nameplate."""

    def __init__(self, job: Job, priors: dict[str, float]) -> None:
        self.known: Known = known_of(job)
        self._priors = priors

    def __call__(self, readings: tuple[Read, ...], least: float) -> Told:
        """least: probability from which a finding is worth saying.  Raises NothingToCompare."""
        compared = compare(readings, self.known)
        if not compared.rows and not compared.opened:
            raise NothingToCompare("; ".join((*compared.left_out, *self.known.left_out)))
        weighed = weigh(self.known, compared, self._priors)
        foreteller = Foreteller(self.known, compared)
        good = sum(one.probability for one in weighed if one.candidate.fault == "none")
        not_shown = sum(one.probability for one in weighed if one.candidate.fault == NOT_SHOWN)
        no_mains = withheld(weighed, compared)
        findings = tuple(
            self._finding(group, compared, foreteller, no_mains) for group in _grouped(weighed) if _sum(group) >= least
        )
        named = {one.fault for one in findings}
        copper = coppers(self.known, compared)
        lines = (*compared.lines, *split_lines(self.known, compared, copper))
        left = not_told(named, self.known, compared, ohms_read=all(one.read for one in copper))
        step = following(findings, self.known, compared, no_mains=no_mains)
        return Told(good, not_shown, findings, step, lines, tuple(left))

    def _finding(self, group: list[Weighed], compared: Compared, foreteller: Foreteller, no_mains: bool) -> Finding:
        best = max(group, key=lambda one: one.probability).candidate
        check = FAULTS[best.fault].CHECK
        if no_mains and not _of_ohms(best, compared):
            check = AT_A_FEW_VOLTS.get(best.fault, check)
        return Finding(
            fault=best.fault,
            winding=best.winding,
            size=size_of(group, self.known, foreteller),
            probability=_sum(group),
            evidence=compared.lines,
            check=check,
            remedy=FAULTS[best.fault].REMEDY,
        )


def _of_ohms(one: Candidate, compared: Compared) -> bool:
    """Whether it is a reading of ohms that was taken wrongly: nothing is fed to take it again."""
    if one.misread is not None:
        return compared.rows[one.misread].what is What.OHMS
    return bool(one.misread_open)


def _sum(group: list[Weighed]) -> float:
    return sum(one.probability for one in group)


def _grouped(weighed: list[Weighed]) -> list[list[Weighed]]:
    """Sizes of one fault at one place together, most probable first."""
    groups: dict[tuple[str, ...], list[Weighed]] = {}
    for one in weighed:
        if one.candidate.fault in ("none", NOT_SHOWN):
            continue
        reading = one.candidate.size if one.candidate.fault == "reading_wrong" else ""
        groups.setdefault((one.candidate.fault, one.candidate.winding, reading), []).append(one)
    return sorted(groups.values(), key=lambda group: -_sum(group))

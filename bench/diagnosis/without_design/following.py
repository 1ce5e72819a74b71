"""What to measure next on a unit without a design."""

from __future__ import annotations

from bench.acceptance.result import DANGEROUS, Finding, NextStep
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.no_mains import more_current
from bench.diagnosis.without_design.readings import What

__all__ = ["following"]


def following(
    findings: tuple[Finding, ...], known: Known, compared: Compared, *, no_mains: bool = False
) -> NextStep | None:
    """The reading that is lacking beside those given; where none is, what settles the likeliest finding.

    no_mains: the unit must not be put on mains before the finding that forbids it is settled.
    """
    fed = known.shown.fed
    if no_mains:
        return _before_mains(findings, fed, more_current(compared))
    if compared.opened:
        return _settling(findings)
    if known.curve:
        volts = max(compared.was) if compared.was else known.curve[-1].voltage
        has_watts = any(one.power is not None for one in known.curve)
        if not compared.has(What.AMPS):
            return NextStep(
                f"exciting current at {volts:g} V on {fed}", "it was read as found, and shows joints and loops"
            )
        if has_watts and not compared.has(What.WATTS):
            return NextStep(f"watts at {volts:g} V on {fed}", "they tell a gap from a shorted turn or poor steel")
        if compared.has(What.WATTS) and compared.fed_ohms is None and fed not in known.ohms:
            return NextStep(f"ohms of {fed}", "what its copper takes is no core's")
    unread = [name for name in known.ratios if not any(one.winding == name for one in compared.rows)]
    turns = any(one.fault == "turns_wrong" for one in findings[:2])
    if unread and (turns or not findings):
        return NextStep(f"volts of {unread[0]} with {fed} fed", "a second ratio tells whose turns are off")
    return _settling(findings)


def _before_mains(findings: tuple[Finding, ...], fed: str, times: float | None) -> NextStep:
    """What settles the likeliest dangerous finding, else the likeliest one, at a few volts or by a look."""
    first = next((one for one in findings if one.fault in DANGEROUS), findings[0] if findings else None)
    check = f"watts at a few volts on {fed}, nothing joined to any secondary" if first is None else first.check
    if times is not None:
        return NextStep(
            f"no more volts on {fed} than a few: {check}", f"it took {times:.2g} times its current as found"
        )
    return NextStep(check, "no mains before this is settled: a turn may be shorted, or a screen closed")


def _settling(findings: tuple[Finding, ...]) -> NextStep | None:
    return NextStep(findings[0].check, "it settles the likeliest finding") if findings else None

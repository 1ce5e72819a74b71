"""The tables of the campaign as text: units by class of meter, decisions by kind of step, and what was false."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from bench.acceptance.decision import Verdict
from tests.campaigns.decisions.one_unit import Outcome
from tests.campaigns.decisions.tally import DecisionTally, UnitTally, tally_decisions, tally_units

__all__ = ["tables"]

_VERDICTS = (Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE, Verdict.INCOMPLETE)


def tables(outcomes: Sequence[Outcome], listed: int) -> str:
    """All that is told of a run; `listed` false verdicts one by one for each class of meter."""
    units = tally_units(outcomes)
    parts = ["\n".join(_unit_lines(list(units.values())))]
    for meter, row in units.items():
        own = [one for one in outcomes if one.meter == meter]
        parts.append("\n".join([*_by_lines(row), *_decision_lines(tally_decisions(own)), *_false_lines(own, listed)]))
    return "\n\n".join(parts)


def _unit_lines(rows: list[UnitTally]) -> list[str]:
    lines = [f"{'class':>6}  {'units that':<22} {'all':>5}" + "".join(f" {verdict:>15}" for verdict in _VERDICTS)]
    for row in rows:
        kinds = (("conform", row.conforming), ("of these as drawn", row.plain), ("do not conform", row.nonconforming))
        for words, verdicts in kinds:
            lines.append(f"{row.meter:>6}  {words:<22} {verdicts.total():>5}" + _shares(verdicts))
    lines.append("")
    return lines + [_bar_line(row) for row in rows]


def _bar_line(row: UnitTally) -> str:
    accepts = f"false accepts {row.false_accepts:.2%} of nonconforming, with 95 % confidence at most "
    accepts += f"{row.false_accepts_at_most:.1%} ({row.untold} in ohms read for continuity only)"
    undecided = f"undecided {row.undecided_good:.1%} of conforming ({row.on_limit} exactly on a limit) and "
    undecided += f"{row.undecided_bad:.1%} of nonconforming"
    return f"class {row.meter} %: {accepts}; false rejects {row.false_rejects:.2%} of conforming; {undecided}"


def _shares(verdicts: Counter[str]) -> str:
    total = max(1, verdicts.total())
    return "".join(f" {verdicts[verdict]:>6} {verdicts[verdict] / total:>7.1%} " for verdict in _VERDICTS)


def _by_lines(row: UnitTally) -> list[str]:
    lines = [f"class {row.meter} %"]
    for verdict, by in row.by.items():
        lines.append(f"  {verdict} by: " + ", ".join(f"{kind} {count}" for kind, count in by.most_common(8)))
    return lines


def _decision_lines(rows: dict[str, DecisionTally]) -> list[str]:
    lines = [
        f"  {'decision':<22} {'conforms: acc':>14} {'rej':>5} {'und':>5} {'trb':>5}   {'does not: acc':>14} {'rej':>5} "
        f"{'und':>5} {'trb':>5}   {'beyond U':>8}"
    ]
    for row in rows.values():
        if not row.conforming and not row.nonconforming:
            lines.append(f"  {row.kind:<22} {row.unknown} decisions, whose truth this campaign does not know")
            continue
        good, bad = ([verdicts[one] for one in _VERDICTS[:4]] for verdicts in (row.conforming, row.nonconforming))
        lines.append(
            f"  {row.kind:<22} {good[0]:>14} {good[1]:>5} {good[2]:>5} {good[3]:>5}   {bad[0]:>14} {bad[1]:>5} "
            f"{bad[2]:>5} {bad[3]:>5}   {row.beyond:>8.1%}"
            + (f"   continuity only {row.continuity}" if row.continuity else "")
            + (f"   truth not known {row.unknown}" if row.unknown else "")
            + (f"   OTHER LIMITS {row.own_limits}" if row.own_limits else "")
        )
    return lines


def _false_lines(outcomes: Sequence[Outcome], listed: int) -> list[str]:
    """False verdicts, and good units left undecided, one by one."""
    good = [one for one in outcomes if one.conforms]
    accepted = [one for one in outcomes if one.verdict is Verdict.ACCEPTED and not one.conforms]
    lines = [
        f"  falsely accepted, {_unit(one)}: " + "; ".join(map(str, one.nonconforming[:3])) for one in accepted[:listed]
    ]
    for verdict, words in ((Verdict.REJECTED, "falsely rejected"), (Verdict.UNDECIDED, "good and undecided")):
        those = [one for one in good if one.verdict is verdict]
        lines += [f"  {words}, {_unit(one)}: {one.why}" for one in those[:listed]]
    return lines


def _unit(one: Outcome) -> str:
    return f"seed {one.seed} {one.name} ({', '.join(one.put_in) or 'as drawn'})"

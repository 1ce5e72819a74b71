"""The tables of the campaign as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from tests.campaigns.diagnosis.one_unit import Outcome
from tests.campaigns.diagnosis.tally import Tally, right, right_fault, tallies

__all__ = ["tables"]


def tables(outcomes: Sequence[Outcome], listed: int) -> str:
    """All that is told of a run; `listed` wrong names one by one for each class of meter and bench.

    found, not: right where the core was read before it was stripped, and where not.
    """
    rows = tallies(outcomes)
    head = (
        f"{'bench':<6} {'class':>5} {'units':>6} {'right':>7} {'ceiling':>8} {'found':>7} {'not':>7} "
        f"{'fault':>7} {'top 3':>7} "
        f"{'alarms':>7} {'missed':>7} {'unknown':>8} {'calibr.':>8} {'ms':>5}"
    )
    parts = ["\n".join([head, *(_line(row) for row in rows)])]
    parts += [_detail(row, listed) for row in rows]
    return "\n\n".join(parts)


def _line(row: Tally) -> str:
    return (
        f"{row.bench:<6} {row.meter:>5} {len(row.outcomes):>6} {row.top:>7.3f} {row.at_its_ceiling.top:>8.3f} "
        f"{row.of(True).top:>7.3f} {row.of(False).top:>7.3f} "
        f"{row.top_fault:>7.3f} {row.top_three:>7.3f} {row.false_alarms:>7.1%} {row.missed:>7} {row.unknown:>8.1%} "
        f"{row.calibration_error:>8.3f} {row.seconds * 1e3:>5.0f}"
    )


def _detail(row: Tally, listed: int) -> str:
    lines = [f"{row.bench}, class {row.meter} %"]
    told_and_true = ", ".join(f"{told:.2f} {true:.2f} ({count})" for count, told, true in row.reliability)
    lines.append(f"  probability told, share right: {told_and_true}")
    kinds = Counter(one.fault for one in row.outcomes)
    for kind in sorted(kinds):
        own = [one for one in row.outcomes if one.fault == kind]
        wrong = Counter(one.named[0].fault for one in own if not right(one))
        told = ", ".join(f"{name} {count}" for name, count in wrong.most_common(4))
        share, fault = sum(map(right, own)) / len(own), sum(map(right_fault, own)) / len(own)
        known = [replace(one, named=one.ceiling) for one in own if one.ceiling]
        best = sum(map(right, known)) / len(known) if known else float("nan")
        lines.append(f"  {kind:<22} {len(own):>4}  right {share:.2f}  ceiling {best:.2f}  fault {fault:.2f}  {told}")
    for one in [one for one in row.outcomes if not right(one)][:listed]:
        named = "; ".join(f"{n.probability:.0%} {n.fault} {n.winding} {n.size}".strip() for n in one.named[:3])
        lines.append(f"  seed {one.seed} {one.name}: {one.fault} {one.winding} {one.size} ({one.verdict}): {named}")
    return "\n".join(lines)

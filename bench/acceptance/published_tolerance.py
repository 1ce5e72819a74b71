"""What a published standard allows around a declared figure, with the words that say where that is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["PublishedTolerance", "published_tolerance"]


@dataclass(frozen=True)
class PublishedTolerance:
    """Shares of a declared value; None where that side is free.

    basis: standard, edition and clause, and whether it was read or is from memory;  memory: recalled and not read, to
    be shown as such, and never the only thing that a verdict rests on.
    """

    what: str
    lower: float | None
    upper: float | None
    basis: str
    memory: bool

    def limits(self, declared: float) -> tuple[float | None, float | None]:
        """Lower and upper limit around a declared value more than 0, in its unit.  Raises ValueError."""
        if not declared > 0:
            raise ValueError(f"declared {declared:g}, expected more than 0")
        return (
            None if self.lower is None else declared * (1 - self.lower),
            None if self.upper is None else declared * (1 + self.upper),
        )


def published_tolerance(table: Mapping[str, Any], name: str, impedance: float | None = None) -> PublishedTolerance:
    """A tolerance of one standard, from a table as profiles/limits/published-tolerances.toml holds them.

    impedance: short-circuit impedance as a share of the rated one (0.04 for 4 %), on which some of them depend.
    Raises ValueError for a name that the table has not, with those that it has, and where the impedance is needed and
    missing, or no share.
    """
    known: Mapping[str, Mapping[str, Any]] = table["tolerance"]
    if name not in known:
        raise ValueError(f"{name!r} is not among the tolerances, expected one of {'; '.join(known)}")
    row = known[name]
    lower, upper = row.get("lower"), row.get("upper")
    if "of_impedance" in row or "small" in row:
        share = _share(name, impedance)
        if "of_impedance" in row:
            lower, upper = (min(side, row["of_impedance"] * share) for side in (lower, upper))
        elif share < row["small_up_to"] or (row["small_includes_it"] and share == row["small_up_to"]):
            lower = upper = row["small"]
    return PublishedTolerance(
        what=row["what"],
        lower=lower,
        upper=upper,
        basis=f"{row['standard']}, {row['edition']}, {row['clause']}; {row['source']}",
        memory=row["memory"],
    )


def _share(name: str, impedance: float | None) -> float:
    if impedance is None:
        raise ValueError(f"{name}: the impedance is needed, expected as a share such as 0.04 for 4 %")
    if not 0 < impedance < 1:
        raise ValueError(f"{name}: impedance {impedance:g}, expected as a share such as 0.04 for 4 %")
    return impedance

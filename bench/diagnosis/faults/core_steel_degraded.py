"""Laminations bent, filed or overheated: more field for the same flux, and more loss."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.sizes import even_shares
from bench.job.expectation import Variant

NAME = "core_steel_degraded"
CHECK = "exciting current and watts at half the volts against the readings as found"
REMEDY = (
    "as they are: feed it with fewer volts; unplugged and discharged: laminations of another core of the same steel"
)
# From what is more than one sheet's loss over another's of its kind.
_FACTORS = (1.25, 1.35, 1.5, 1.65, 1.8, 2.0, 2.2, 2.4)
_SHARES = even_shares(_FACTORS, 1.2, 2.5)


def explains(winding: str, size: str) -> str:
    return f"the steel has {size} the loss of its kind"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """The field rises with the loss, by about its root (common practice, no source)."""
    for factor, share in zip(_FACTORS, _SHARES, strict=True):
        poorer = Variant(loss_factor=factor, field_factor=factor**0.5)
        yield Hypothesis(NAME, size=f"{factor:.2g} times", variant=poorer, share=share)

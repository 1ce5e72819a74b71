"""What the advised measurement is worth: hard pairs named before it, after it, and after all that could be taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bench.acceptance.result import StepResult
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.further import most_worth
from tests.campaigns.decisions.one_solution import shared_bench
from tests.campaigns.diagnosis.beyond import PAIRS, draw_pair
from tests.campaigns.diagnosis.extra import answered
from tests.campaigns.diagnosis.one_unit import Named, as_designed, diagnosis_of_pair, kept_or_tested, named_of
from tests.campaigns.diagnosis.population import Diagnosed
from tests.campaigns.diagnosis.tally import right_of

__all__ = ["Advised", "advice_table", "helps", "run_pair"]


@dataclass(frozen=True)
class Advised:
    """One unit of a hard pair: whether it was named rightly before, after what was advised once, and after all of it.

    advised: what was advised, empty where nothing would have told anything.
    """

    pair: int
    meter: str
    before: bool
    after: bool
    after_all: bool
    advised: str


def run_pair(seed: int, classes: Sequence[str], kept: Path | None = None) -> list[Advised]:
    """The unit of a seed, tested on the bench that reads watts, with a meter of each class."""
    one = draw_pair(seed)
    bench = shared_bench(one.unit)
    return [
        _advised(one, seed, meter, kept_or_tested(one, meter, "watts", bench, kept, "pairs").steps) for meter in classes
    ]


def _advised(one: Diagnosed, seed: int, meter: str, steps: tuple[StepResult, ...]) -> Advised:
    diagnosis = diagnosis_of_pair(one, meter)
    _, forward = as_designed(one, meter)
    posterior = diagnosis.posterior(steps)
    worth = most_worth(diagnosis.case(steps), posterior, forward)
    answers = {each.further.id: answered(one, each.further.id, meter, forward.design) for each in worth}
    taken = [(each, answer) for each, answer in answers.items() if answer is not None]
    once = (*steps, taken[0][1]) if taken else steps
    everything = (*steps, *(answer for _, answer in taken))
    return Advised(
        seed // 2 % len(PAIRS),
        meter,
        _right(one, named_of(posterior)),
        _right(one, _named(diagnosis, once)),
        _right(one, _named(diagnosis, everything)),
        taken[0][0] if taken else "",
    )


def _named(diagnosis: Diagnosis, steps: tuple[StepResult, ...]) -> tuple[Named, ...]:
    return named_of(diagnosis.posterior(steps))


def _right(one: Diagnosed, named: tuple[Named, ...]) -> bool:
    return right_of(named[0], one.fault, one.winding)


def advice_table(units: Sequence[Advised]) -> str:
    """Shares named rightly, by class of meter and by pair, and how much of what can be had one measurement brings."""
    lines = ["hard pairs:  right before, after the measurement advised, after all;  share of the gain by that one"]
    for meter in sorted({one.meter for one in units}, key=float):
        lines.append("  " + _row(f"class {meter} %", [one for one in units if one.meter == meter]))
    for place, pair in enumerate(PAIRS):
        own = [one for one in units if one.pair == place]
        words = f"{pair.job}: {pair.one or 'good'} / {pair.other or 'good'}"
        advised = sorted({one.advised or "nothing" for one in own})
        lines.append("  " + _row(words, own) + f"  ({', '.join(advised)})")
    return "\n".join(lines)


def _row(head: str, units: Sequence[Advised]) -> str:
    before, after, everything = (
        sum(values) / max(1, len(units))
        for values in zip(*((one.before, one.after, one.after_all) for one in units), strict=True)
    )
    gain = everything - before
    share = f"{(after - before) / gain:.2f}" if gain > 0 else "-"
    return f"{head} ({len(units)}): {before:.2f}  {after:.2f}  {everything:.2f};  {share}"


def helps(units: Sequence[Advised]) -> bool:
    """Whether one measurement as advised brings at least half of what all of them bring."""
    before, after, everything = (
        sum(values) for values in zip(*((u.before, u.after, u.after_all) for u in units), strict=True)
    )
    return after - before >= 0.5 * (everything - before)

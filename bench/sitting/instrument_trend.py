"""One instrument over its tests: how far its readings lay from what was due, and whether it drifts.

What was due is a design's, and each unit has its own scatter of wire, turns and steel: that scatter is in the values
and widens the line's doubt, it is not the instrument's.  The frequency of the mains is what hardly scatters.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry
from bench.records.search.asked import instrument_uses
from bench.records.search.fold import instrument_key
from bench.sitting.kept_tests import KeptTest, kept_tests
from bench.sitting.problems import BadInput
from bench.sitting.straight_line import StraightLine, straight_line

if TYPE_CHECKING:
    from bench.records.reader import Records

__all__ = [
    "Calibrated",
    "Deviation",
    "Drift",
    "Trend",
    "instrument_trend",
    "trend_document",
    "trend_lines",
    "trend_rows",
]

_YEAR_S = 365.25 * 86400.0
_LEAST_SHARE = 1e-8
"""Of a value, as its gain's contribution: below it the gain cancelled."""
_BARS = "▁▂▃▄▅▆▇█"
_WIDTH = 40
_LEAST_DAYS = 3


@dataclass(frozen=True)
class Deviation:
    """at: UTC, ISO 8601;  quantity: as the meter read it;  span: full scale of its range [SI], 0 where not known;
    relative: measured over due, less 1;  accuracy: what the instrument promises there, a fraction of the value;
    u: standard uncertainty of all else that the step names, a fraction."""

    at: str
    job: str
    test: int
    step: str
    quantity: str
    span: float
    due: float
    measured: float
    unit: str
    relative: float
    accuracy: float
    u: float


@dataclass(frozen=True)
class Calibrated:
    """As the bench file said when it was first used so."""

    since: str
    calibrated: str
    due: str
    certificate: str


@dataclass(frozen=True)
class Drift:
    """One value a test, since what lies in one test shares its unit.  means: (years since 1970, relative deviation,
    its doubt);  line: through them, None for fewer than three days;  accuracy: the largest that was promised."""

    quantity: str
    deviations: tuple[Deviation, ...]
    means: tuple[tuple[float, float, float], ...]
    line: StraightLine | None

    @property
    def accuracy(self) -> float:
        return max(one.accuracy for one in self.deviations)

    @property
    def mean(self) -> float:
        """Of all tests, weighted."""
        return _weighted([(value, u) for _, value, u in self.means])[0]


@dataclass(frozen=True)
class Trend:
    """key, names: which instrument;  uses: entries that tell of it;  jobs: on how many."""

    key: str
    names: tuple[str, ...]
    uses: int
    jobs: int
    first: str
    last: str
    calibrated: tuple[Calibrated, ...]
    drifts: tuple[Drift, ...]


def instrument_trend(records: Records, text: str) -> Trend:
    """Of the one instrument whose name, identity, serial or certificate number holds `text`; raises BadInput for none
    and for more than one, and RecordProblem."""
    uses = instrument_uses(records, text)
    keys = list(dict.fromkeys(one.key for one in uses))
    if not keys:
        raise BadInput(f"{text!r}: no instrument in the record, expected a part of its name, identity or serial number")
    exact = [one for one in keys if one.lower() == text.lower()]
    if len(keys) > 1 and not exact:
        some = ", ".join(keys[:6]) + (f" and {len(keys) - 6} more" if len(keys) > 6 else "")
        raise BadInput(f"{text!r}: may be {some}; expected one of them")
    key = exact[0] if exact else keys[0]
    own = [one for one in uses if one.key == key]
    deviations: list[Deviation] = []
    bodies: list[tuple[str, Mapping[str, Any]]] = []
    for job in dict.fromkeys(one.job for one in own):
        entries = records.landmarks(job)
        seqs = {one.seq for one in own if one.job == job}
        bodies += [(one.at, one.body) for one in entries if one.seq in seqs]
        deviations += _of_job(entries, key)
    return Trend(
        key,
        tuple(dict.fromkeys(one.name for one in own if one.name)),
        len(own),
        len({one.job for one in own}),
        own[0].at,
        own[-1].at,
        tuple(_calibrations(sorted(bodies, key=lambda one: one[0]))),
        tuple(_drifts(deviations)),
    )


def trend_rows(trend: Trend) -> list[dict[str, Any]]:
    """Each deviation, for a table."""
    return [
        {
            "at_utc": one.at,
            "job": one.job,
            "test": one.test,
            "step": one.step,
            "quantity": one.quantity,
            "full_scale": one.span or "",
            "due": one.due,
            "measured": one.measured,
            "unit": one.unit,
            "deviation_percent": 100 * one.relative,
            "accuracy_percent": 100 * one.accuracy,
            "u_other_percent": 100 * one.u,
        }
        for drift in trend.drifts
        for one in drift.deviations
    ]


def trend_document(trend: Trend) -> dict[str, Any]:
    """All of it for a program; slopes are relative, by year."""
    return {
        "schema": 1,
        "instrument": trend.key,
        "names": list(trend.names),
        "uses": trend.uses,
        "jobs": trend.jobs,
        "first": trend.first,
        "last": trend.last,
        "calibrated": [vars(one) for one in trend.calibrated],
        "drift": [
            {
                "quantity": one.quantity,
                "readings": len(one.deviations),
                "tests": len(one.means),
                "mean": one.mean,
                "accuracy": one.accuracy,
                "line": None if one.line is None else {
                    "mean": one.line.mean,
                    "u_mean": one.line.u_mean,
                    "slope_per_year": one.line.slope,
                    "u_slope": one.line.u_slope,
                    "coverage": one.line.coverage,
                    "birge": one.line.birge,
                    "significant": one.line.significant,
                },
            }
            for one in trend.drifts
        ],
        "deviations": trend_rows(trend),
    }  # fmt: skip


def trend_lines(trend: Trend) -> list[str]:
    """All of it for a person."""
    also = ", ".join(name for name in trend.names if name != trend.key)
    times = f"{trend.uses} time{'' if trend.uses == 1 else 's'} on {trend.jobs} job{'' if trend.jobs == 1 else 's'}"
    lines = [f"{trend.key}{f' ({also})' if also else ''}: used {times}, {trend.first[:10]} to {trend.last[:10]} UTC"]
    for one in trend.calibrated:
        due = f", due {one.due}" if one.due else ""
        certificate = f", certificate {one.certificate}" if one.certificate else ""
        lines.append(f"  calibrated {one.calibrated or 'not said'}{due}{certificate}; so since {one.since[:10]}")
    if not trend.calibrated:
        lines.append("  no calibration on record")
    if not trend.drifts:
        return [*lines, "", "No finished test has a step in which its gain shows: nothing to see of a drift."]
    lines += ["", _ROW.format("quantity", "tests", "deviation", "drift a year", "95 %", "promised", "times", "")]
    lines.append("-" * 104)
    lines += [_drift_line(one) for one in trend.drifts]
    lines += [
        "",
        "deviation: measured over due, less 1, the mean of its tests; times: that, in what the instrument promises.",
        "They hold the units' own scatter, which widens the doubt.",
    ]
    drifting = [one.quantity for one in trend.drifts if one.line is not None and one.line.significant]
    said = f"A drift shows in {', '.join(drifting)}: have it checked." if drifting else "No drift shows."
    return [*lines, said]


_ROW = "{:<14} {:>5} {:>10} {:>13} {:>10} {:>10} {:>7}  {}"


def _drift_line(drift: Drift) -> str:
    line, promised = drift.line, drift.accuracy
    slope, doubt, mark = "too few days", "", ""
    if line is not None:
        slope, doubt = f"{100 * line.slope:+.3f} %", f"±{100 * line.slope_within:.3f} %"
        mark = "drifts" if line.significant else ""
    times = f"{drift.mean / promised:+.1f}" if promised else ""
    bars = _sparkline([value for _, value, _ in drift.means])
    row = (
        drift.quantity,
        len(drift.means),
        f"{100 * drift.mean:+.3f} %",
        slope,
        doubt,
        f"{100 * promised:.3f} %",
        times,
    )
    return f"{_ROW.format(*row, bars)}  {mark}".rstrip()


def _sparkline(values: list[float]) -> str:
    """Oldest first; many values are taken together by their mean."""
    if len(values) > _WIDTH:
        edges = [round(n * len(values) / _WIDTH) for n in range(_WIDTH + 1)]
        values = [math.fsum(values[a:b]) / (b - a) for a, b in itertools.pairwise(edges)]
    low, high = min(values), max(values)
    if high <= low:
        return _BARS[3] * len(values)
    return "".join(_BARS[min(7, int(8 * (one - low) / (high - low)))] for one in values)


def _of_job(entries: list[Entry], key: str) -> Iterator[Deviation]:
    for test in kept_tests(entries):
        names = [
            str(body[n]) for body in test.meters if instrument_key(body) == key for n in ("use", "name") if body.get(n)
        ]
        if names and test.result is not None:
            yield from _of_test(test, tuple(dict.fromkeys(names)))


def _of_test(test: KeptTest, names: tuple[str, ...]) -> Iterator[Deviation]:
    assert test.result is not None
    for step in test.result.body.get("steps") or ():
        due, measured = step.get("expected"), step.get("measured")
        if not due or not measured or step.get("unit") == "turns":
            continue
        found = _own_parts(step.get("components") or (), names)
        gain = found.get("gain", 0.0)
        if abs(gain) < _LEAST_SHARE * abs(measured):
            continue
        own = math.hypot(*(found.get(one, 0.0) for one in ("gain", "offset")))
        u = float(step.get("uncertainty", 0.0)) / float(step.get("k", 2.0))
        quantity, _, span = str(found["of"]).partition(":")
        yield Deviation(
            at=test.result.at,
            job=test.result.job,
            test=test.number,
            step=str(step["id"]),
            quantity=quantity,
            span=_number(span),
            due=float(due),
            measured=float(measured),
            unit=str(step.get("unit", "")),
            relative=float(measured) / float(due) - 1.0,
            accuracy=math.sqrt(3.0) * own / abs(measured),
            u=math.sqrt(max(u**2 - own**2, 0.0)) / abs(measured),
        )


def _own_parts(components: Iterable[Mapping[str, Any]], names: tuple[str, ...]) -> dict[str, Any]:
    """The instrument's own gain and offset of the range that weighs most."""
    found: dict[str, Any] = {}
    for one in components:
        source = str(one.get("source", ""))
        name = next((each for each in names if source.startswith(f"{each}:")), None)
        which = source.rpartition(":")[2]
        if name is None or which not in ("gain", "offset"):
            continue
        part = float(one.get("u", 0.0)) * float(one.get("sensitivity", 1.0))
        if which == "gain" and abs(part) > abs(found.get("gain", 0.0)):
            found["of"] = source.removeprefix(f"{name}:").rpartition(":")[0]
            found["gain"] = part
        elif which == "offset":
            found["offset"] = math.hypot(found.get("offset", 0.0), part)
    return found


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def _drifts(deviations: list[Deviation]) -> Iterator[Drift]:
    for quantity in sorted({one.quantity for one in deviations}):
        own = tuple(sorted((one for one in deviations if one.quantity == quantity), key=lambda one: (one.at, one.job)))
        means = []
        for at, together in itertools.groupby(own, key=lambda one: (one.at, one.job)):
            # what is promised is the same at each reading, and no scatter
            values = [(one.relative, max(one.u, 1e-3 * one.accuracy, 1e-9)) for one in together]
            means.append((datetime.fromisoformat(at[0]).timestamp() / _YEAR_S, *_weighted(values)))
        line = None
        if len({round(one[0] * 365.25) for one in means}) >= _LEAST_DAYS:
            line = straight_line(*zip(*means, strict=True))
        yield Drift(quantity, own, tuple(means), line)


def _weighted(values: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Mean and its standard uncertainty, widened where the values scatter more than their doubts say."""
    weights = [1.0 / u**2 for _, u in values]
    total = math.fsum(weights)
    mean = math.fsum(w * value for w, (value, _) in zip(weights, values, strict=True)) / total
    chi2 = math.fsum(w * (value - mean) ** 2 for w, (value, _) in zip(weights, values, strict=True))
    wider = max(1.0, math.sqrt(chi2 / (len(values) - 1))) if len(values) > 1 else 1.0
    return mean, wider / math.sqrt(total)


def _calibrations(bodies: list[tuple[str, Mapping[str, Any]]]) -> Iterator[Calibrated]:
    before: tuple[str, ...] | None = None
    for at, body in bodies:
        said = tuple(str(body.get(name) or "") for name in ("calibrated", "calibration_due", "certificate"))
        if any(said) and said != before:
            yield Calibrated(at, *said)
            before = said

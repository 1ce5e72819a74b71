"""What somebody types to find jobs, checked: dates, verdicts and faults by their names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from datetime import UTC, datetime

from bench.acceptance.decision import Verdict
from bench.records.search.asked import UNTESTED, Asked, FoundJob
from bench.sitting.history import topic_of_kind
from bench.sitting.problems import BadInput

__all__ = ["VERDICTS", "asked_of", "faults_known", "found_document", "found_lines", "moment"]

VERDICTS = (*(str(one) for one in Verdict if one is not Verdict.NOT_DONE), UNTESTED)
_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_WIDE = 34


def asked_of(
    *, job: str = "", equipment: str = "", since: str = "", until: str = "", verdict: str = "", fault: str = "",
    instrument: str = "",
) -> Asked:  # fmt: skip
    """As they were typed; raises BadInput in a line that says what is expected."""
    begin = moment(since, "--since", after=False) if since else ""
    end = moment(until, "--until", after=True) if until else ""
    if begin and end and begin >= end:
        raise BadInput(f"--since {since} --until {until}: nothing lies between, expected the earlier day first")
    return Asked(
        job.strip(), equipment.strip(), begin, end,
        _known("--verdict", verdict, VERDICTS), _known("--fault", fault, faults_known()), instrument.strip(),
    )  # fmt: skip


def faults_known() -> tuple[str, ...]:
    from bench.diagnosis.faults import FAULTS

    return tuple(sorted(name for name in FAULTS if name != "none"))


def moment(text: str, option: str, *, after: bool) -> str:
    """The first moment of a day, a month or a year, or the first one after it; UTC, ISO 8601.  Raises BadInput."""
    match = _DATE.fullmatch(text.strip())
    try:
        if match is None:
            raise ValueError
        year, month, day = (None if one is None else int(one) for one in match.groups())
        assert year is not None
        at = datetime(year, month or 1, day or 1, tzinfo=UTC)
        if not after:
            return at.isoformat()
        if day is not None:
            return datetime.fromtimestamp(at.timestamp() + 86400, UTC).isoformat()
        years, months = (1, 0) if month is None else divmod(month, 12)
        return datetime(year + years, months + 1, 1, tzinfo=UTC).isoformat()
    except (ValueError, OverflowError, OSError):
        raise BadInput(f"{option} {text!r}: expected a day in UTC such as 2027-03-14, a month or a year") from None


def found_lines(jobs: Sequence[FoundJob], *, more: bool, most: int) -> list[str]:
    """A table for a person."""
    lines = [_ROW.format("number", "equipment", "last done", "verdict", "last kept, UTC")]
    for one in jobs:
        what = one.equipment or one.name
        lines.append(
            _ROW.format(
                one.job,
                what if len(what) <= _WIDE else what[: _WIDE - 1] + "…",
                topic_of_kind(one.last_kind),
                one.verdict or UNTESTED,
                one.last_at[:16].replace("T", " "),
            ).rstrip()
        )
    if more:
        lines.append(f"these are the newest {most}; --limit shows more")
    return lines


_ROW = f"{{:<14}} {{:<{_WIDE}}} {{:<10}} {{:<10}} {{}}"


def found_document(jobs: Sequence[FoundJob], *, more: bool, note: str) -> dict[str, object]:
    """The same for a program; times are UTC, ISO 8601."""
    found = [{name: getattr(one, name) for name in FoundJob.__dataclass_fields__} for one in jobs]
    return {"schema": 1, "jobs": [one.job for one in jobs], "found": found, "more": more, "note": note}


def _known(option: str, text: str, names: Sequence[str]) -> str:
    plain = text.strip().lower().replace(" ", "_") if option == "--fault" else text.strip().lower()
    if not plain or plain in names:
        return plain
    close = difflib.get_close_matches(plain, names, n=1, cutoff=0.6)
    meant = f"did you mean {close[0]!r}?" if close else f"expected one of {', '.join(names)}"
    raise BadInput(f"{option} {text!r}: {meant}")

"""The certificate of a test: one page of HTML from the record, with everything a person typed made inert."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader

from bench.acceptance.report import doubt_text, value_text
from bench.diagnosis.faults import explains
from bench.job.model import Job
from bench.quantities import show
from bench.records.entry import Entry, Kind
from bench.records.store import Store

__all__ = ["NoTestYet", "certificate_from_record"]


class NoTestYet(ValueError):
    """The record holds no finished test."""


def certificate_from_record(store: Store, number: str) -> str:
    """HTML of the last finished test of a job, with the job file as it was then and the hash of its result entry."""
    result = store.last(number, Kind.RESULT)
    if result is None:
        raise NoTestYet(f"{number}: no finished test in the record yet")
    entries = [entry for entry in store.landmarks(number) if entry.seq <= result.seq]
    job_entry = _newest(entries, Kind.JOB_FILE)
    meter = _newest(entries, Kind.INSTRUMENT)
    assert job_entry is not None
    job = Job.model_validate(tomllib.loads(job_entry.body["text"]))
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["quantity"] = _quantity
    counts = [entry.body for entry in entries if entry.kind == Kind.WINDING_DONE]
    return environment.get_template("certificate.html").render(
        job=job,
        result=result.body,
        entry=result,
        date=result.at[:10],
        meters=_meters(entries, job_entry, meter),
        counts={body["winding"]: body for body in counts},
        deviation=_deviation,
        limit=_limit,
        doubt=_doubt,
        explains=explains,
        show=show,
    )


def _meters(entries: list[Entry], job_entry: Entry, newest: Entry | None) -> list[dict[str, Any]]:
    """The meter of the last sitting; where several were named by role, each of them."""
    roles = {
        str(entry.body["role"]): entry.body
        for entry in entries
        if entry.kind == Kind.INSTRUMENT and entry.seq > job_entry.seq and "role" in entry.body
    }
    if roles:
        bare = [newest.body] if newest is not None and "role" not in newest.body else []
        return [*roles.values(), *bare]
    return [] if newest is None else [newest.body]


def _newest(entries: list[Entry], kind: Kind) -> Entry | None:
    return next((entry for entry in reversed(entries) if entry.kind == kind), None)


def _quantity(value: float | None, unit: str) -> str:
    return "" if value is None else value_text(value, unit)


def _deviation(step: dict[str, Any]) -> str:
    if step["measured"] is None or not step["expected"]:
        return ""
    return f"{(step['measured'] / step['expected'] - 1) * 100:+.2f} %"


def _doubt(step: dict[str, Any]) -> str:
    """Expanded uncertainty to two digits."""
    return doubt_text(step["uncertainty"], step["unit"])


def _limit(step: dict[str, Any]) -> str:
    lower, upper = step["lower"], step["upper"]
    if lower is not None and upper is not None:
        return f"{value_text(lower, step['unit'])} to {value_text(upper, step['unit'])}"
    if upper is not None:
        return f"up to {value_text(upper, step['unit'])}"
    return "" if lower is None else f"from {value_text(lower, step['unit'])}"

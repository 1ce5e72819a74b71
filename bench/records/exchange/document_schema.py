"""JSON Schema (draft 2020-12) of the record as one document."""

from __future__ import annotations

import json

from bench.records.exchange.bodies import BODIES
from bench.records.exchange.document import SCHEMA, WHAT
from bench.records.exchange.shape import Shape, items, number, record, text, whole

__all__ = ["document_schema"]

_HASH = text(64, "^[0-9a-f]{64}$")
_UNITS = (
    "Values, limits and uncertainties are SI, in the unit that stands beside them; voltage and at_volts in V, turns in "
    "turns, times of day in UTC by ISO 8601, monotonic in seconds of the clock of whoever wrote it. Each component of "
    "uncertainty has its standard uncertainty u in the unit of its own cause, and the reading's change for a change of "
    "it; components of the same source are fully correlated. uncertainty is expanded: U = k u."
)


def document_schema() -> str:
    """As JSON text."""
    return json.dumps(_schema(), indent=1, ensure_ascii=False) + "\n"


def _schema() -> Shape:
    entry = record(
        {"seq": whole(1), "kind": text(20, "^[a-z]([a-z ]*[a-z])?$"), "at": text(40), "monotonic": number(),
         "previous": _HASH, "hash": _HASH, "body": {"type": "object"}},
        ("seq", "kind", "at", "monotonic", "previous", "hash", "body"),
        allOf=[
            {"if": {"properties": {"kind": {"const": str(kind)}}}, "then": {"properties": {"body": body}}}
            for kind, body in BODIES.items()
        ],
    )  # fmt: skip
    top: dict[str, Shape] = {
        "schema": {"const": SCHEMA},
        "what": {"const": WHAT},
        "job": text(40, "^[A-Za-z0-9][A-Za-z0-9._-]*$"),
        "program": text(40),
        "head": _HASH,
        "entries": items({"$ref": "#/$defs/entry"}, 10_000_000),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The record of a job",
        "description": f"{_UNITS} How an entry's hash is made: bench/records/exchange/document.py.",
        **record(top, ("schema", "what", "job", "head", "entries")),
        "$defs": {"entry": entry},
    }

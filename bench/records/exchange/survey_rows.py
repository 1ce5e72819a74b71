"""What was read and counted on the unit as found, as rows of a table: one quantity a row."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from bench.acceptance.decision import COVERAGE
from bench.quantities import Dimension, QuantityError, parse
from bench.records.entry import Entry, Kind
from bench.records.exchange.table import Column, Form, Row, Table, moment, number

__all__ = ["SURVEY"]

_N, _T = Form.NUMBER, Form.TEXT

COLUMNS = (
    Column("job", _T, "Number of the job.", always=True),
    Column("entry", Form.WHOLE, "Number of the record's entry that holds it.", always=True),
    Column("time", Form.TIME, "When it was kept, UTC, ISO 8601."),
    Column("part", _T, "winding, insulation, resistance, volts, current_ratio, exciting, or stripped.", always=True),
    Column("winding", _T, "Which winding."),
    Column("fed", _T, "Which winding was fed meanwhile."),
    Column("quantity", _T, "What was read, such as resistance or fed_voltage.", always=True),
    Column("value", _N, "In the unit of the column unit; empty where a text was kept that is none."),
    Column("unit", _T, "Of value, low, high and expanded_uncertainty: V, A, ohm, Hz, K, W, m, kg, turns."),
    Column("low", _N, "The truth is not below, in the unit of the column unit; of counts."),
    Column("high", _N, "The truth is not above, in the unit of the column unit; of counts."),
    Column("expanded_uncertainty", _N, "U = k u, in the unit of the column unit, where a meter on a line told."),
    Column("k", _N, "Coverage factor of U."),
    Column("instrument", _T, "Name of the meter, or how it was counted."),
    Column("withdrawn", Form.TRUTH, "Whether this entry takes the reading out.", always=True),
    Column("raw", _T, "As it was typed or kept."),
)  # fmt: skip

_DIMENSIONS = {
    "resistance": Dimension.RESISTANCE,
    "test_voltage": Dimension.VOLTAGE,
    "temperature": Dimension.TEMPERATURE,
    "fed_voltage": Dimension.VOLTAGE,
    "voltage": Dimension.VOLTAGE,
    "frequency": Dimension.FREQUENCY,
    "current": Dimension.CURRENT,
    "coil_current": Dimension.CURRENT,
    "power": Dimension.POWER,
    "nameplate_voltage": Dimension.VOLTAGE,
    "nameplate_current": Dimension.CURRENT,
    "mean_turn": Dimension.LENGTH,
    "build": Dimension.LENGTH,
    "length": Dimension.LENGTH,
    "copper_mass": Dimension.MASS,
}
_TURNS = ("turns", "coil_turns")
_DOUBTS = {"resistance": "components", "voltage": "components", "fed_voltage": "fed_components"}


def _rows(job: str, entries: Iterable[Entry]) -> Iterator[Row]:
    for one in entries:
        if one.kind == Kind.AS_FOUND:
            told = {"part": str(one.body.get("part", "")), "instrument": str(one.body.get("meter", ""))}
            for row in _as_found(one.body):
                yield {"job": job, "entry": one.seq, "time": moment(one.at), **told, **row}
        elif one.kind == Kind.STRIPPED:
            yield {"job": job, "entry": one.seq, "time": moment(one.at), **_stripped(one.body)}


SURVEY = Table("survey", "What was read and counted on a unit as found", COLUMNS, ("job", "entry", "quantity"), _rows)


def _as_found(body: Mapping[str, Any]) -> Iterator[Row]:
    told: Row = {
        "winding": str(body.get("winding", body.get("name", ""))),
        "fed": str(body.get("fed", "")),
        "withdrawn": "withdrawn" in body,
    }
    quantities = [key for key in body if key in _DIMENSIONS or key in _TURNS]
    for key in quantities:
        value, unit = _read(key, body[key])
        doubt = _expanded(body.get(_DOUBTS.get(key, "")))
        yield {**told, "quantity": key, "value": value, "unit": unit, "raw": str(body[key]),
               "expanded_uncertainty": doubt, "k": None if doubt is None else COVERAGE}  # fmt: skip
    if not quantities:
        yield {
            **told,
            "quantity": "withdrawn" if "withdrawn" in body else "none",
            "raw": str(body.get("withdrawn", "")),
        }


def _stripped(body: Mapping[str, Any]) -> Row:
    turns = body.get("turns")
    return {
        "part": "stripped",
        "winding": str(body.get("winding", "")),
        "quantity": "turns",
        "value": number(turns),
        "unit": "turns",
        "low": number(body.get("low")),
        "high": number(body.get("high")),
        "instrument": str(body.get("how", "")),
        "withdrawn": False,
        "raw": str(turns),
    }


def _read(key: str, kept: Any) -> tuple[float | None, str]:
    """SI value and unit."""
    if key in _TURNS:
        return number(kept), "turns"
    dimension = _DIMENSIONS[key]
    if not isinstance(kept, str):
        return number(kept), dimension.si
    try:
        return number(parse(kept, dimension)), dimension.si
    except QuantityError:
        return None, dimension.si


def _expanded(components: Any) -> float | None:
    if not isinstance(components, list) or not components:
        return None
    total = 0.0
    for one in components:
        u = number(one.get("u")) if isinstance(one, Mapping) else None
        sensitivity = number(one.get("sensitivity", 1.0)) if isinstance(one, Mapping) else None
        if u is None or sensitivity is None:
            return None
        total = math.hypot(total, u * sensitivity)
    return number(COVERAGE * total)

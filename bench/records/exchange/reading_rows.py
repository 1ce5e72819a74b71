"""Readings and steps of a job's tests as rows of a table."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bench.acceptance.decision import COVERAGE
from bench.records.entry import Entry, Kind
from bench.records.exchange.table import Column, Form, Row, Table, moment, number

__all__ = ["READINGS", "of_test", "tests_in"]

_N, _T = Form.NUMBER, Form.TEXT

COLUMNS = (
    Column("job", _T, "Number of the job.", always=True),
    Column("test", Form.WHOLE, "Which test of the job, from 1; sittings of one test belong together.", always=True),
    Column("row", Form.WHOLE, "Place of the row in the table, from 1.", always=True),
    Column("entry", Form.WHOLE, "Number of the record's entry that holds it.", always=True),
    Column("time", Form.TIME, "When it was kept, UTC, ISO 8601."),
    Column("what", _T, "reading: of an instrument; answer: typed by a person; step: of the procedure, with its limits; "
           "unit: the verdict of the whole test.", always=True),
    Column("step", _T, "Identity of the step, such as resistance:heater."),
    Column("label", _T, "Name of the step in words."),
    Column("quantity", _T, "What was read, such as voltage_ac."),
    Column("winding", _T, "Winding or section, such as ht or ht.centre."),
    Column("value", _N, "What was read, in the unit of the column unit; empty unless the state is good."),
    Column("unit", _T, "Of value, expanded_uncertainty, expected, lower and upper: V, A, ohm, Hz, K, m, W, T, s, "
           "turns; 1 and share are of dimension one; K rise is a difference; T field is in tesla."),
    Column("expanded_uncertainty", _N, "U = k u, in the unit of the column unit; all components as independent."),
    Column("k", _N, "Coverage factor of U."),
    Column("expected", _N, "What the design expects, in the unit of the column unit."),
    Column("lower", _N, "Lower limit, in the unit of the column unit; empty where there is none."),
    Column("upper", _N, "Upper limit, in the unit of the column unit; empty where there is none."),
    Column("basis", _T, "Where the limits come from."),
    Column("verdict", _T, "accepted, rejected, undecided, trouble or not done; of the unit also incomplete."),
    Column("probability", _N, "Probability of conformity: that the true value lies within the limits, 0 to 1."),
    Column("state", _T, "good, overload or no value."),
    Column("at_volts", _N, "Volts on the fed winding then.", unit="V"),
    Column("instrument", _T, "Name of the instrument, or its address where it has none."),
    Column("serial", _T, "Serial number of the instrument, as the bench file had it."),
    Column("raw", _T, "What the instrument answered, or what was typed, as it came."),
    Column("note", _T, "What was remarked on the step."),
)  # fmt: skip

_OF_TEST = (Kind.READING, Kind.ANSWER, Kind.STEP, Kind.RESULT, Kind.TEST_GO)


@dataclass
class _Test:
    number: int
    entries: list[Entry] = field(default_factory=list)


def tests_in(entries: Iterable[Entry]) -> int:
    """How many tests the record holds."""
    return max((one.number for one in _tests(entries)), default=0)


def of_test(rows: Iterable[Row], test: int) -> Iterator[Row]:
    """Those of one test."""
    return (row for row in rows if row["test"] == test)


def _rows(job: str, entries: Iterable[Entry]) -> Iterator[Row]:
    kept = list(entries)
    instruments = _Instruments(kept)
    place = 0
    for test in _tests(kept):
        for row in _of_one(test, instruments):
            place += 1
            yield {"job": job, "test": test.number, "row": place, **row}


READINGS = Table("readings", "Readings and steps of a job's tests", COLUMNS, ("job", "row"), _rows)


def _tests(entries: Iterable[Entry]) -> list[_Test]:
    """Each from where it began to where the next did; an older record does not say where its only one began."""
    found: list[_Test] = []
    for one in entries:
        if one.kind == Kind.TEST_BEGUN or (not found and one.kind in _OF_TEST):
            found.append(_Test(len(found) + 1))
        if found and one.kind in _OF_TEST:
            found[-1].entries.append(one)
    return found


def _of_one(test: _Test, instruments: _Instruments) -> Iterator[Row]:
    """Readings and answers as they were kept, then each step as it stands at the end, then the unit."""
    steps: dict[str, tuple[Entry, Mapping[str, Any]]] = {}
    result: Entry | None = None
    for one in test.entries:
        if one.kind == Kind.STEP:
            steps[str(one.body.get("id"))] = one, one.body
        elif one.kind == Kind.RESULT:
            result = one
    if result is not None:
        for body in _mappings(result.body.get("steps")):
            identity = str(body.get("id"))
            kept = steps.get(identity, (result, body))[0]
            steps[identity] = kept, body
    windings = {identity: str(body.get("winding", "")) for identity, (_, body) in steps.items()}
    for one in test.entries:
        if one.kind == Kind.READING:
            yield _reading(one, windings, instruments)
        elif one.kind == Kind.ANSWER:
            yield _answer(one, windings)
    for one, body in steps.values():
        yield _step(one, body)
    if result is not None:
        told: Row = {"entry": result.seq, "time": moment(result.at), "what": "unit"}
        yield {**told, "verdict": str(result.body.get("verdict", ""))}


def _reading(one: Entry, windings: Mapping[str, str], instruments: _Instruments) -> Row:
    body = one.body
    value = number(body.get("value"))
    name, serial = instruments.of(str(body.get("instrument", "")), one.seq)
    return {
        "entry": one.seq,
        "time": moment(body.get("at", one.at)) or moment(one.at),
        "what": "reading",
        "step": str(body.get("step", "")),
        "quantity": str(body.get("quantity", "")),
        "winding": _winding(str(body.get("step", "")), windings),
        "value": value,
        "unit": str(body.get("unit", "")),
        "expanded_uncertainty": None if value is None else _expanded(_mappings(body.get("components"))),
        "k": None if value is None else COVERAGE,
        "state": str(body.get("state", "")),
        "instrument": name,
        "serial": serial,
        "raw": str(body.get("raw", "")),
    }


def _answer(one: Entry, windings: Mapping[str, str]) -> Row:
    body = one.body
    return {
        "entry": one.seq,
        "time": moment(one.at),
        "what": "answer",
        "step": str(body.get("step", "")),
        "quantity": str(body.get("quantity", "")),
        "winding": _winding(str(body.get("step", "")), windings),
        "raw": str(body.get("text", body.get("skip", ""))),
    }


def _step(one: Entry, body: Mapping[str, Any]) -> Row:
    measured = number(body.get("measured"))
    raw = body.get("raw")
    return {
        "entry": one.seq,
        "time": moment(one.at),
        "what": "step",
        "step": str(body.get("id", "")),
        "label": str(body.get("label", "")),
        "quantity": str(body.get("quantity", "")),
        "winding": str(body.get("winding", "")),
        "value": measured,
        "unit": str(body.get("unit", "")),
        "expanded_uncertainty": None if measured is None else number(body.get("uncertainty")),
        "k": None if measured is None else number(body.get("k")),
        "expected": number(body.get("expected")),
        "lower": number(body.get("lower")),
        "upper": number(body.get("upper")),
        "basis": str(body.get("basis", "")),
        "verdict": str(body.get("verdict", "")),
        "probability": number(body.get("probability")),
        "state": str(body.get("state", "")),
        "at_volts": number(body.get("at_volts")),
        "raw": "; ".join(str(each) for each in raw) if isinstance(raw, Sequence) and not isinstance(raw, str) else "",
        "note": str(body.get("note") or ""),
    }


def _winding(step: str, windings: Mapping[str, str]) -> str:
    """As the step's result says it, else what stands behind the colon: the step was not judged."""
    return windings[step] if step in windings else step.partition(":")[2]


def _expanded(components: Iterable[Mapping[str, Any]]) -> float | None:
    """U of a reading alone, its components as independent; None where one of them is no number."""
    total = 0.0
    for one in components:
        u, sensitivity = number(one.get("u")), number(one.get("sensitivity", 1.0))
        if u is None or sensitivity is None:
            return None
        total = math.hypot(total, u * sensitivity)
    return number(COVERAGE * total)


def _mappings(value: Any) -> list[Mapping[str, Any]]:
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []


class _Instruments:
    """Which instruments were at hand, by entry."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._kept = [one for one in entries if one.kind == Kind.INSTRUMENT]

    def of(self, address: str, before: int) -> tuple[str, str]:
        """Name and serial number of the one at an address, as it was last told before that entry."""
        for one in reversed(self._kept):
            if one.seq < before and address in (one.body.get("use"), one.body.get("name")):
                return str(one.body.get("name") or address), str(one.body.get("serial") or "")
        return address, ""

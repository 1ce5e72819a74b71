"""What each kind of entry holds: the least that this program's readers rely on, with units.

Keys that are not named may stand beside.  A record that comes from elsewhere is held against this before it is taken,
so that nothing in it can end a command that reads it.  A kind that is not listed is one of a newer program: it is kept
as it is, and nothing here reads it.
"""

from __future__ import annotations

import hashlib
from datetime import date
from typing import Any

from bench.acceptance.decision import Verdict
from bench.records.entry import Entry, Kind
from bench.records.exchange.shape import Shape, items, misfit, none_or, number, record, text, truth, whole, word
from bench.records.exchange.strict_json import strict_json
from bench.records.exchange.strict_toml import strict_toml
from drivers.reading import Quantity, State

__all__ = ["BODIES", "MOST_TURNS", "body_problem"]

MOST_TURNS = 1e7
_MOST_SIZE = 1_000_000_000

_HASH = "^[0-9a-f]{64}$"
_FILE = "^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$"
_WORDS = text(20_000)
_SHORT = text(200)
_SAID = none_or(_WORDS)
_TURNS = number(-MOST_TURNS, MOST_TURNS)
_BOUND = none_or(_TURNS)
_TARGET = none_or(whole(0, 1_000_000))
_ANY = none_or(number())
_SITTING = whole(1, 1_000_000)

_COMPONENT = record(
    {"source": text(1_000), "u": number(0), "sensitivity": number()}, ("source", "u"), additionalProperties=False
)
_COMPONENTS = items(_COMPONENT)
_PLACE = {
    "type": "array", "prefixItems": [_SHORT, _SHORT, _SHORT, whole(0, 1_000_000)], "minItems": 4, "maxItems": 4,
}  # fmt: skip
_STEP = {
    "id": text(200), "label": _SHORT, "quantity": _SHORT, "winding": _SHORT, "measured": _ANY, "state": _SHORT,
    "unit": text(20), "expected": _ANY, "components": _COMPONENTS, "uncertainty": number(0),
    "k": {"type": "number", "exclusiveMinimum": 0, "maximum": 100}, "lower": _ANY, "upper": _ANY, "basis": _WORDS,
    "verdict": word(*Verdict), "probability": none_or(number(0, 1)), "at_volts": none_or(number(0, 1e6)),
    "raw": items(_WORDS), "required": truth(), "note": _SAID,
}  # fmt: skip
_STEP_OF_RESULT = record(_STEP, ("id", "label", "quantity", "measured", "state", "unit", "expected", "uncertainty",
                                 "lower", "upper", "basis", "verdict", "note"))  # fmt: skip
_FINDING = record(
    {"fault": _SHORT, "winding": _SHORT, "size": _WORDS, "probability": number(0, 1), "evidence": items(_WORDS),
     "check": _WORDS, "remedy": _WORDS, "rungs": none_or(items(_WORDS))},
    ("fault", "winding", "size", "probability", "check", "remedy"),
)  # fmt: skip
_NOT_DONE = record({"id": _SHORT, "reason": _WORDS, "required": truth()}, ("id", "reason"))
_STAGE = record(
    {"part": text(60), "value": _WORDS, "withdrawn": _WORDS, "instead_of": whole(), "standing": _WORDS,
     "because": _WORDS, "warnings": items(_SHORT), "not_answered": items(_SHORT)},
    ("part",),
)  # fmt: skip
_COUNTER = none_or(record({"form": _SHORT, "board": text(200)}, ("form",)))
_BOUNDED = {"type": "array", "items": _BOUND, "minItems": 3, "maxItems": 3}
_STRIPPING = record(
    {"off": _TURNS, "low": _BOUND, "high": _BOUND, "goes": whole(0, 1_000_000), "typed": _TURNS, "base": _BOUNDED,
     "travel": _BOUNDED, "position": _BOUNDED, "counter": text(500), "sense": whole(-1, 1), "told": truth(),
     "counting": truth(), "blur": number(0, MOST_TURNS)},
    ("off", "low", "high", "goes", "typed", "base", "sense", "counting", "blur"),
)  # fmt: skip
_EXPECTED = none_or(record({"value": _TURNS, "low": _TURNS, "high": _TURNS}))
_STRIP = {"winding": _SHORT, "off": _TURNS, "turns": _TURNS, "low": _BOUND, "high": _BOUND, "stripping": _STRIPPING,
          "counter": _COUNTER, "counter_name": text(500), "expected": _EXPECTED, "how": _SHORT}  # fmt: skip
_COUNTED = {"winding": _SHORT, "turns": _TURNS, "low": _BOUND, "high": _BOUND, "counter": _COUNTER,
            "taking_off": truth()}  # fmt: skip
_CONTENT = record({"what": text(40), "name": _SHORT, "sha256": text(64, _HASH), "text": text(1_000_000)},
                  ("what", "name", "sha256", "text"))  # fmt: skip
_DIGESTS = {"type": "object", "additionalProperties": text(64, _HASH)}
_JUDGED_BY = none_or(record({**dict.fromkeys(("rules", "procedure", "bench"), text(64, _HASH)),
                             "tables": _DIGESTS, "past_a_gate_because": _SAID}))  # fmt: skip
_ATTACHED = {
    "name": _SHORT, "sha256": text(64, _HASH), "bytes": whole(1, _MOST_SIZE),
    "file": text(80, "^[0-9a-f]{64}(\\.[a-z0-9]{1,8})?$"),
}  # fmt: skip
_NEEDS_ENDS = [
    {"if": {"properties": {"what": word("layer end", "layer end undone")}}, "then": {"required": ["ends"]}},
]
_FITS_ITS_STATE = [
    {"if": {"properties": {"state": word(State.GOOD)}}, "then": {"properties": {"value": number()}},
     "else": {"properties": {"value": {"type": "null"}}}},
]  # fmt: skip

BODIES: dict[str, Shape] = {
    Kind.JOB_FILE: record(
        {"file": _SHORT, "text": text(1_000_000),
         "workshop": none_or(record({"name": _SHORT, "address": _SHORT, "operator": _SHORT}))},
        ("file", "text"),
    ),
    Kind.INSTRUMENT: record(
        {**dict.fromkeys(("name", "use", "serial", "calibrated", "calibration_due", "certificate", "identity", "role",
                          "what", "serial_read", "during", "winding"), none_or(text(500))),
         "quantities": items(_SHORT), "accuracy": none_or({"type": "object"}), "bounds": none_or({"type": "object"}),
         "profile": none_or(record({"name": _SHORT, "sha256": text(64, _HASH)}))},
        ("use",),
    ),
    Kind.COUNT: record(_COUNTED, ("turns",)),
    Kind.COUNT_EVENT: record({"winding": _SHORT, "event": _SHORT, "while": _SHORT}, ("event",)),
    Kind.CORRECTION: record({**_COUNTED, "reason": _WORDS, "before": _BOUND}, ("turns",)),
    Kind.LAYER: record({**_COUNTED, "total": _TURNS}, ("turns",)),
    Kind.WINDING_BEGUN: record({"winding": _SHORT, "target": _TARGET}),
    Kind.WINDING_GO: record(
        {"winding": _SHORT, "target": _TARGET, "go": whole(0, 1_000_000), "by": _SHORT, "left": truth()}
    ),
    Kind.HOLD: record({**_COUNTED, "held": truth(), "why": _WORDS}, ("turns",)),
    Kind.MARK: record(
        {"winding": _SHORT, "mark": _SHORT, "what": _SHORT, "turns": _BOUND, "ends": items(_TURNS)},
        ("mark", "what"), allOf=_NEEDS_ENDS,
    ),
    Kind.WINDING_DONE: record({**_COUNTED, "target": _TARGET, "layer_ends": items(_TURNS)}, ("winding", "turns")),
    Kind.WINDING_CHECK: record({"check": _SHORT, "winding": _SHORT, "for_later": none_or({"type": "object"})},
                               ("check",)),
    Kind.RESTACK: _STAGE,
    Kind.VARNISH: _STAGE,
    Kind.TEST_BEGUN: record({"procedure": _SHORT, "judged_by": _JUDGED_BY}, ("procedure",)),
    Kind.TEST_GO: record({"procedure": _SHORT, "again": items(_SHORT), "judged_by": _JUDGED_BY}),
    Kind.READING: record(
        {"step": _SHORT, "quantity": word(*Quantity), "value": _ANY, "unit": text(20), "state": word(*State),
         "components": _COMPONENTS, "instrument": text(500), "at": text(40), "monotonic": number(), "raw": _WORDS,
         "span": _ANY, "place": _PLACE, "sitting": _SITTING, "skip": _WORDS},
        ("quantity", "value", "state", "instrument", "at", "monotonic", "raw", "components", "span"),
        allOf=_FITS_ITS_STATE,
    ),
    Kind.ANSWER: record(
        {"step": _SHORT, "quantity": _SHORT, "ask": _SHORT, "text": _WORDS, "skip": _WORDS, "done": truth(),
         "place": _PLACE, "sitting": _SITTING}
    ),
    Kind.STEP: record(_STEP, ("id", "verdict")),
    Kind.RESULT: record(
        {"verdict": word(*Verdict), "steps": items(_STEP_OF_RESULT), "findings": items(_FINDING, 200),
         "not_done": items(_NOT_DONE, 1_000), "next": none_or({"type": "object"})},
        ("verdict", "steps", "findings", "not_done"),
    ),
    Kind.WIRE_LOG: record(
        {"winding": _SHORT, "file": text(100, _FILE), "bytes": whole(0, _MOST_SIZE), "sha256": text(64, _HASH)},
        ("file", "bytes", "sha256"),
    ),
    Kind.NOTE: record({"text": _WORDS, "winding": _SHORT}, ("text",)),
    Kind.AS_FOUND: record({"part": _SHORT, "winding": _SHORT, "fed": _SHORT, "name": _SHORT}, ("part",)),
    Kind.STRIP_BEGUN: record(_STRIP, ("winding", "off", "stripping")),
    Kind.STRIP_COUNT: record(_STRIP, ("winding", "off", "stripping")),
    Kind.STRIP_GO: record(_STRIP, ("winding", "stripping")),
    Kind.STRIPPED: record({**_STRIP, "within": number(0, MOST_TURNS), "goes": whole(0, 1_000_000)},
                          ("winding", "turns", "within", "how")),
    Kind.PHOTO: record(
        {**_ATTACHED, "location": _SHORT, "winding": _SHORT, "stage": _SHORT, "caption": none_or(text(1_000)),
         "on_certificate": truth()},
        ("name", "sha256", "bytes", "file"),
    ),
    Kind.PICTURE: record({"of": whole(1), "caption": none_or(text(1_000)), "on_certificate": truth()}, ("of",)),
    Kind.CERTIFICATE: record(
        {**_ATTACHED, "number": whole(1, 100_000), "date": text(10, "^20[0-9]{2}-[0-9]{2}-[0-9]{2}$"),
         "form": word("pdf", "html"), "head": text(64, _HASH), "head_entry": whole(1), "verdict": _SHORT,
         "amends": whole(1), "because": _WORDS, "changes": items(_WORDS)},
        ("name", "sha256", "file", "number", "date", "form", "head", "head_entry"),
    ),
    Kind.PROFILES: record({"contents": items(_CONTENT, 1_000)}, ("contents",)),
}  # fmt: skip


def body_problem(entry: Entry) -> str:
    """What in an entry's body its readers would stumble over, in a few words; empty where nothing is."""
    shape = BODIES.get(entry.kind)
    found = "" if shape is None else misfit(entry.body, shape)
    if found:
        return found
    try:
        _read(entry.kind, entry.body)
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as problem:
        return " ".join(str(problem).split())[:200] or type(problem).__name__
    return ""


def _read(kind: str, body: dict[str, Any]) -> None:
    """By what reads it later; raises what that raises."""
    match kind:
        case Kind.READING:
            from bench.acceptance.reading_object import reading_from

            if not 2000 <= reading_from(body).at.year <= 2200 or reading_from(body).at.tzinfo is None:
                raise ValueError(f"at: {body['at']}, expected a time with its zone, from 2000 to 2200")
        case Kind.STEP:
            from bench.acceptance.result import step_result_of

            step_result_of(body)
        case Kind.RESULT:
            from bench.acceptance.result import step_result_of
            from bench.diagnosis.faults import explains

            for step in body["steps"]:
                step_result_of(step)
            for one in body["findings"]:
                explains(one["fault"], one["winding"], one["size"])
        case Kind.STRIP_BEGUN | Kind.STRIP_COUNT | Kind.STRIP_GO:
            from bench.survey.stripping import Stripping

            Stripping.from_saved(body["winding"], body["stripping"])
        case Kind.WINDING_CHECK:
            from bench.winding.resistance_check import from_body

            from_body(body)
        case Kind.PHOTO | Kind.CERTIFICATE if body["file"].partition(".")[0] != body["sha256"]:
            raise ValueError("file: is not named by its hash")
        case Kind.CERTIFICATE:
            date.fromisoformat(body["date"])
        case Kind.PROFILES:
            for one in body["contents"]:
                _content(one)
        case Kind.WIRE_LOG if not body["file"].isascii() or body["file"].endswith("."):
            raise ValueError(f"file: {body['file']!r}, expected a plain name")


def _content(one: dict[str, str]) -> None:
    """Of what a test was judged by: the text that its hash names, and one that can be read."""
    contents = one["text"].encode()
    if hashlib.sha256(contents).hexdigest() != one["sha256"]:
        raise ValueError(f"contents: {one['what']} {one['name']!r} is not what its hash says")
    if one["what"] in ("rules", "procedure"):
        if not isinstance(strict_json(contents), dict):
            raise ValueError(f"contents: {one['what']} {one['name']!r}: expected an object")
    else:
        try:
            strict_toml(one["text"])
        except ValueError:
            raise ValueError(f"contents: {one['what']} {one['name']!r} is no TOML") from None

"""The operator's protocol in JSON: a request becomes one object out, a reply one object in; schema 1."""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import Enum
from typing import Any

from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Wait

__all__ = ["MalformedReply", "Reply", "ReplyKind", "ask_object", "parse_reply"]


class MalformedReply(ValueError):
    """A line that is no reply to what was asked; the text says what was expected."""


class ReplyKind(Enum):
    DONE = "done"
    VALUE = "value"
    SKIP = "skip"
    STOP = "stop"


@dataclass(frozen=True)
class Reply:
    """What the operator answered: done, a typed value, or a reason to skip or stop."""

    kind: ReplyKind
    text: str = ""


def ask_object(request: OperatorRequest, ask_id: str) -> dict[str, Any]:
    """One object for one request. Quantities are text with units; terminals are `winding.lead`."""
    common: dict[str, Any] = {"schema": 1, "id": ask_id, "step": request.step}
    if request.cautions:
        common["cautions"] = list(request.cautions)
    match request:
        case Confirm():
            return {**common, "ask": "confirm", "text": request.text}
        case Connect():
            return {
                **common,
                "ask": "connect",
                "quantity": str(request.quantity),
                "winding": request.winding,
                "from": request.from_terminal,
                "to": request.to_terminal,
                "links": [list(link) for link in request.links],
                "range": None if request.expected is None else f"{request.expected:.4g} {request.quantity.unit}",
                "text": request.text,
            }
        case Excite():
            if request.text:
                common["text"] = request.text
            return {
                **common,
                "ask": "excite",
                "winding": request.winding,
                "from": request.from_terminal,
                "to": request.to_terminal,
                "volts": f"{request.volts:.6g} V",
                "hertz": f"{request.hertz:.6g} Hz",
                "source": request.source,
                "limiter": request.limiter,
                "series": None if request.series_ohms is None else f"{request.series_ohms:g} ohm",
                "hazard": f"{request.hazard:.0f} V",
            }
        case Load():
            return {
                **common,
                "ask": "load",
                "winding": request.winding,
                "from": request.from_terminal,
                "to": request.to_terminal,
                "ohms": None if request.ohms is None else f"{request.ohms:.6g} ohm",
                "amps": f"{request.amps:.4g} A",
                "watts": f"{request.watts:.4g} W",
                "text": request.text,
            }
        case Enter():
            entry: dict[str, Any] = {
                **common,
                "ask": "enter",
                "quantity": str(request.quantity),
                "unit": request.unit,
                "text": request.text,
            }
            if request.volts is not None:
                entry["volts"] = f"{request.volts:.6g} V"
            if request.expected is not None:
                entry["expected"] = f"{request.expected:.6g} {request.quantity.unit}"
            if request.place:
                entry["place"] = request.place
            if request.between is not None:
                entry["between"] = list(request.between)
            if request.reading_of is not None:
                place = request.reading_of
                entry |= {
                    "winding": place.winding,
                    "from": place.from_terminal,
                    "to": place.to_terminal,
                    "links": [list(link) for link in place.links],
                }
            return entry
        case Wait():
            return {**common, "ask": "wait", "seconds": request.seconds, "text": request.text}


def parse_reply(line: str, ask: dict[str, Any]) -> Reply:
    """The reply in a line of JSON; raises MalformedReply with what was expected."""
    wanted = {"enter": '{"value": "..."}'}.get(ask["ask"], '{"done": true}')
    expected = f'expected {{"id": "{ask["id"]}"}} with {wanted}, {{"skip": "reason"}} or {{"stop": "reason"}}'
    if len(line) > 10_000:
        raise MalformedReply(f"reply of {len(line)} characters, {expected}")
    try:
        reply = json.loads(line)
    except (ValueError, RecursionError):  # also a number of thousands of digits
        raise MalformedReply(f"no JSON, {expected}") from None
    if not isinstance(reply, dict):
        raise MalformedReply(f"no object, {expected}")
    if reply.get("id") != ask["id"]:
        raise MalformedReply(f"id {str(reply.get('id'))[:40]!r}, {expected}")
    given = [key for key in ("done", "value", "skip", "stop", "error") if key in reply]
    if len(given) != 1:
        raise MalformedReply(f"{len(given)} answers, {expected}")
    try:
        str(reply[given[0]]).encode()
    except UnicodeEncodeError:
        raise MalformedReply(f"text that is no text (half a character), {expected}") from None
    match given[0], reply[given[0]]:
        case "skip", str(reason) if reason.strip():
            return Reply(ReplyKind.SKIP, reason.strip())
        case "stop", str(reason) if reason.strip():
            return Reply(ReplyKind.STOP, reason.strip())
        case "error", str(reason):
            return Reply(ReplyKind.STOP, f"the other side can't do it: {reason}")
        case "done", True if ask["ask"] != "enter":
            return Reply(ReplyKind.DONE)
        case "value", str(value) if ask["ask"] == "enter" and value.strip():
            return Reply(ReplyKind.VALUE, value.strip())
    raise MalformedReply(f"{given[0]} is not an answer to {ask['ask']}, {expected}")

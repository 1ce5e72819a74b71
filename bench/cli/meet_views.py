"""What `turnproof meet` says of a meter, in words and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drivers.line_settings import LineSettings
from drivers.met import Met, NotMet, Why
from drivers.nearest_profile import Likeness

__all__ = ["met_object", "met_words", "not_met_object", "nothing_to_write", "why_not_met"]

_ENDS = {b"\n": "LF", b"\r": "CR", b"\r\n": "CR LF", b"\n\r": "LF CR", b"\r\n\0": "CR LF NUL"}
_PLACES = ("first", "second", "third", "fourth", "fifth")


def met_words(found: Met, near: Likeness | None) -> list[str]:
    fields = found.identity_fields
    serial = f", serial number in the {_PLACES[found.serial_field - 1]}" if found.serial_field else ""
    rows = [
        ("frame", str(found.frame)),
        ("identity", f"{found.identity}   ({len(fields)} fields{serial})" if found.identity else "none"),
        *([("asked instead", f"{found.probe} -> {found.answers.get(found.probe, '')}")] if found.probe else []),
        ("obeys", " and ".join(_ENDS.get(end, repr(end)) for end in found.obeyed) + " at the end of a message"),
        ("ends its lines", "not at all" if found.received is None else f"with {_ENDS.get(found.received, '?')}"),
        ("echo", "yes" if found.echo else "no"),
        ("flow", "XON/XOFF" if found.xon_xoff else "not seen; look it up in the meter's menu"),
        ("prompt", ", ".join(found.prompts) or "none"),
        ("acknowledges", ", ".join(found.acknowledges) or "not seen; only a message that sets something would tell"),
        ("error queue", _errors(found)),
        ("unknown question", found.unknown_header or "silence"),
        *([("talks unasked", found.stream[0])] if found.stream else []),
        *([("greets with", found.banner)] if found.banner else []),
    ]
    lines = [f"{name:<18}{text}" for name, text in rows]
    lines += [
        f"{query:<18}{answer}"
        for query, answer in found.answers.items()
        if query not in (found.identity_query, found.error_query, found.probe)
    ]
    if near is not None:
        lines.append(f"{'nearest profile':<18}{near.profile.name}: {near.profile.about}")
        lines += [f"{'':<18}differs: {each}" for each in near.differs]
    if found.stopped:
        lines.append(f"{'not whole':<18}{found.stopped}")
    if found.cut_short:
        lines.append(f"{'not whole':<18}the time for all of it was over; see --within")
    return lines


def _errors(found: Met) -> str:
    if found.error_query is None:
        return "none found"
    return f"{found.error_query} -> {found.no_error or found.first_error}"


def why_not_met(found: NotMet, port: str) -> str:
    """What was found instead of a meter, and what to do about it."""
    over = "; the time for all of it was over before everything was tried, see --within" if found.cut_short else ""
    refused = f"; the port can't be set to {len(found.refused)} more" if found.refused else ""
    tried = f"in {found.tried} frames{refused}{over}" if "://" not in port else f"there{over}"
    match found.why:
        case Why.UNREADABLE:
            frame, data = next(iter(found.heard.items()))
            return (
                f"bytes came, but no readable text {tried} (at {frame} {data[:12].hex(' ')}): look up rate, data bits "
                "and parity in the meter's menu and give them with --frame"
            )
        case Why.ECHOES:
            return (
                f"only our own words came back (at {found.echoes}), and no answer {tried}: send and receive may be "
                "joined in the cable, or the meter's remote interface is off"
            )
        case Why.SILENT if "socket://" in port:
            return f"connected, but silent {tried}; is another program connected? many meters serve one at a time"
        case Why.SILENT:
            return (
                f"no answer {tried}; check that the meter is on, that its serial interface is chosen in its menu, and "
                "that the cable crosses its lines where needed"
            )


def nothing_to_write(found: Met, port: str, counters: Sequence[str]) -> str:
    """Why there is no profile; `counters`: names of the counters that are known, whose lines begin with them."""
    word = found.stream[0].split(" ")[0] if found.stream else ""
    if word in counters:
        return f"it talks as a turn counter does, no meter: try turnproof count {word}@{port}"
    if found.stream and not found.answers:
        return (
            "it talks without being asked and answers no question; turn its continuous sending off, at its menu or by "
            "a key, and meet it again; there is no profile to start from"
        )
    if found.identity:
        return "it says who it is, but nothing that tells its dialect; there is no profile to start from"
    return "it talks, but answers no question of any dialect that is known; there is no profile to start from"


def met_object(port: str, found: Met, near: Likeness | None, written: str | None) -> dict[str, Any]:
    return {
        "schema": 1,
        "port": port,
        "met": True,
        "frame": _frame_object(found.frame),
        "terminators_obeyed": [end.decode("ascii") for end in found.obeyed],
        "terminator_received": None if found.received is None else found.received.decode("ascii"),
        "echo": found.echo,
        "xon_xoff": found.xon_xoff,
        "prompts": list(found.prompts),
        "acknowledges": list(found.acknowledges),
        "identity_query": found.identity_query,
        "identity": found.identity,
        "identity_fields": len(found.identity_fields),
        "serial_field": found.serial_field,
        "probe": found.probe,
        "error_query": found.error_query,
        "no_error": found.no_error,
        "first_error": found.first_error,
        "answers": dict(found.answers),
        "unanswered": list(found.unanswered),
        "unknown_question": found.unknown_header,
        "stream": list(found.stream),
        "banner": found.banner,
        "whole": not (found.cut_short or found.stopped),
        "nearest": None
        if near is None
        else {
            "profile": near.profile.name,
            "proved": near.proved,
            "agrees": list(near.agrees),
            "differs": list(near.differs),
        },
        "written": written,
    }


def not_met_object(port: str, found: NotMet) -> dict[str, Any]:
    return {
        "schema": 1,
        "port": port,
        "met": False,
        "why": str(found.why),
        "frames_tried": found.tried,
        "frames_refused": list(found.refused),
        "heard": {frame: data.hex(" ") for frame, data in found.heard.items()},
        "echoes": found.echoes,
        "banner": found.banner,
        "whole": not found.cut_short,
    }


def _frame_object(frame: LineSettings) -> dict[str, Any]:
    return {
        "baud_rate": frame.baud_rate,
        "data_bits": frame.data_bits,
        "parity": str(frame.parity),
        "stop_bits": frame.stop_bits,
        "dtr": frame.dtr,
        "rts": frame.rts,
    }

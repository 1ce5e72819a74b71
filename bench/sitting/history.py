"""The history of a job in plain words: what was done, newest first, a page at a time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from bench.quantities import show
from bench.records.entry import Entry, Kind
from bench.records.pictures import KeptPicture
from bench.sitting.attaching import pictures_kept
from bench.sitting.record_words import counts_of, entry_summary, one_line, runs

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["History", "Line", "Topic", "line_of", "read_history", "topic_of", "topic_of_kind"]

_PAGE = 100
_MARKED = {True: "to stand on the certificate", False: "no more on the certificate"}


class Topic(StrEnum):
    """What an entry is about, as a person asks for it."""

    JOB = "job file"
    SURVEYED = "surveyed"
    WOUND = "wound"
    RESTACKED = "restacked"
    TESTED = "tested"
    VARNISHED = "varnished"
    NOTED = "note"
    PICTURE = "picture"
    CERTIFIED = "certificate"


_TOPICS = {
    Kind.JOB_FILE: Topic.JOB, Kind.AS_FOUND: Topic.SURVEYED, Kind.STRIP_BEGUN: Topic.SURVEYED,
    Kind.STRIP_COUNT: Topic.SURVEYED, Kind.STRIP_GO: Topic.SURVEYED, Kind.STRIPPED: Topic.SURVEYED,
    Kind.RESTACK: Topic.RESTACKED, Kind.VARNISH: Topic.VARNISHED, Kind.TEST_BEGUN: Topic.TESTED,
    Kind.TEST_GO: Topic.TESTED, Kind.READING: Topic.TESTED, Kind.ANSWER: Topic.TESTED, Kind.STEP: Topic.TESTED,
    Kind.PROFILES: Topic.JOB,
    Kind.RESULT: Topic.TESTED, Kind.INSTRUMENT: Topic.TESTED, Kind.NOTE: Topic.NOTED, Kind.PHOTO: Topic.PICTURE,
    Kind.PICTURE: Topic.PICTURE, Kind.CERTIFICATE: Topic.CERTIFIED,
}  # fmt: skip


@dataclass(frozen=True)
class Line:
    """seq, last: entries that it stands for, the first and the last;  at: UTC, ISO 8601, of the last;  verdict: empty
    where none was given;  warned: whether it keeps a warning;  body: of the last entry."""

    seq: int
    last: int
    topic: Topic
    at: str
    words: str
    verdict: str
    warned: bool
    kind: str
    body: Mapping[str, Any]


@dataclass(frozen=True)
class History:
    """lines newest first;  whole: whether they reach back to the first entry;  entries: how many there are in all;
    pictures: all that belong to the job, newest first."""

    number: str
    lines: tuple[Line, ...]
    whole: bool
    entries: int
    pictures: tuple[KeptPicture, ...]


def read_history(store: Store, number: str, least: int) -> History:
    """At least so many lines, where there are as many; raises RecordProblem."""
    read: list[Entry] = []
    lines: list[Line] = []
    whole = False
    while not whole and len(lines) < least:
        page = store.landmarks_before(number, read[-1].seq if read else None, _PAGE)
        whole = len(page) < _PAGE
        read += page
        lines = [line_of(run) for run in reversed(runs(reversed(read)))]
    pictures = tuple(reversed(pictures_kept(store, number)))
    return History(number, tuple(lines), whole, store.count(number), pictures)


def topic_of(entry: Entry) -> Topic:
    """Whatever belongs to nothing else came up at the winding."""
    if entry.kind == Kind.COUNT_EVENT and entry.body.get("while") == "stripping":
        return Topic.SURVEYED
    if entry.kind == Kind.INSTRUMENT and "during" in entry.body:
        return Topic.WOUND if entry.body["during"] == "winding" else Topic.SURVEYED
    return topic_of_kind(entry.kind)


def topic_of_kind(name: str) -> Topic:
    """What entries of that kind are mostly about."""
    return next((topic for kind, topic in _TOPICS.items() if kind == name), Topic.WOUND)


def line_of(run: list[Entry]) -> Line:
    """Of one entry, or of counts that follow each other."""
    entry = run[-1]
    try:
        words = _run_words(run) if len(run) > 1 else _words(entry)
    except (KeyError, TypeError, ValueError, AttributeError):  # what another version wrote
        words = ""
    verdict = str(entry.body.get("verdict", "")) if entry.kind in (Kind.STEP, Kind.RESULT) else ""
    warned = bool(entry.body.get("warnings")) and entry.kind in (Kind.RESTACK, Kind.VARNISH)
    told = one_line(words or entry_summary(entry))
    return Line(run[0].seq, entry.seq, topic_of(entry), entry.at, told, verdict, warned, entry.kind, entry.body)


def _run_words(run: list[Entry]) -> str:
    first, last = run[0].body, run[-1].body
    key, off = ("off", " off") if run[0].kind == Kind.STRIP_COUNT else ("turns", "")
    return f"{last['winding']}: {counts_of(run)} counts, from {first[key]:g} to {last[key]:g} turns{off}"


def _words(entry: Entry) -> str:
    """Empty where the plain summary says as much."""
    body = entry.body
    which = body.get("winding", "")
    match entry.kind:
        case Kind.JOB_FILE:
            return f"{body['file']}, as it was then"
        case Kind.INSTRUMENT:
            role = f"{body['role']} " if body.get("role") else ""
            what = f"{role}{body.get('what', 'meter')}"
            return f"{what} {body.get('name') or body['use']}{_after(', ', body.get('identity'))}"
        case Kind.PROFILES:
            return f"kept as they were then: {', '.join(_content(one) for one in body['contents'])}"
        case Kind.AS_FOUND:
            return _as_found(body)
        case Kind.COUNT:
            return f"{which}: {body['turns']:g} turns"
        case Kind.STRIP_COUNT:
            return f"{which}: {body['off']:g} turns off"
        case Kind.COUNT_EVENT:
            return f"{which}: {_plain_event(str(body['event']))}"
        case Kind.CORRECTION if "turns" in body:
            return f"{which}: count set to {body['turns']:g} turns{_after(', because: ', body.get('reason'))}"
        case Kind.WINDING_BEGUN:
            return f"{which}: begun, {body['target']} turns to wind"
        case Kind.WINDING_GO:
            return f"{which}: left, to go on later" if body.get("left") else f"{which}: sat down to it, go {body['go']}"
        case Kind.WINDING_DONE:
            return f"{which}: done, {body['turns']:g} of {body['target']} turns"
        case Kind.STRIPPED:
            return f"{which}: off whole, {body['turns']:g} turns"
        case Kind.TEST_BEGUN:
            return f"test begun, by {body['procedure']}"
        case Kind.TEST_GO:
            return "test gone on with"
        case Kind.READING:
            return f"{_step(body)}: {_value(body, 'value')}"
        case Kind.ANSWER:
            return f"{_step(body)}: typed {body['text']}"
        case Kind.STEP:
            return f"{body.get('label') or body['id']}: {_value(body, 'measured')}, {body['verdict']}"
        case Kind.RESULT:
            return f"test ended {body['verdict']}, {len(body['steps'])} steps"
        case Kind.NOTE:
            return f"{which}: {body['text']}" if which else str(body["text"])
        case Kind.CERTIFICATE:
            amends = f"; amends the one before, because: {body['because']}" if body.get("because") else ""
            return f"certificate {body['number']} given as .{body['form']}: {body['name']}{amends}"
        case Kind.PHOTO:
            of = which or body.get("stage") or ""
            marked = ", for the certificate" if body.get("on_certificate") is True else ""
            said = f"{_after(', of ', of)}{_after(': ', body.get('caption'))}"
            return f"{body['name']}, {_size(body['bytes'])}{said}{marked}"
        case Kind.PICTURE:
            words = [_MARKED[body["on_certificate"]]] if "on_certificate" in body else []
            words += [f"caption: {body['caption']}"] if "caption" in body else []
            return f"picture of entry {body['of']}: {', '.join(words)}"
    return ""


def _content(one: Mapping[str, Any]) -> str:
    return str(one["name"]) if one["what"] == "bench" else f"{one['what']} {one['name']}"


def _as_found(body: Mapping[str, Any]) -> str:
    """Empty for what is best told as it is kept."""
    if "withdrawn" in body:
        return f"as found, {body['part']}: {body['withdrawn']} withdrawn"
    match body["part"]:
        case "resistance" | "insulation":
            return f"{body['winding']}: {body['part']} {show(float(body['resistance']), 'ohm')} as found"
        case "volts":
            fed = f"{show(float(body['fed_voltage']), 'V')} on {body['fed']}"
            return f"{body['winding']}: {show(float(body['voltage']), 'V')} as found, with {fed}"
        case "exciting":
            drawn = f"{show(float(body['current']), 'A')} at {show(float(body['voltage']), 'V')}"
            return f"{body['fed']}: draws {drawn} as found"
    return ""


def _size(number: int) -> str:
    return f"{number / 1e6:.1f} MB" if number >= 1e6 else f"{max(1, round(number / 1e3))} kB"


def _after(before: str, words: object) -> str:
    return f"{before}{words}" if words else ""


def _step(body: Mapping[str, Any]) -> str:
    return str(body["step"]).replace("_", " ").replace(":", " of ")


def _value(body: Mapping[str, Any], key: str) -> str:
    value, unit = body.get(key), str(body.get("unit", ""))
    if value is None:
        return str(body.get("state", "no value"))
    return f"{value:.2f} turns" if unit == "turns" else show(value, unit) if unit else f"{value:g}"


def _plain_event(name: str) -> str:
    """`LinkWentAway` is `link went away`."""
    return "".join(f" {one.lower()}" if one.isupper() else one for one in name).strip()

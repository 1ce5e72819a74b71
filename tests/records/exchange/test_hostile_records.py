"""Records that somebody forged: what can't be trusted is refused in a line, and what is taken ends no command."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.records.entry import Kind
from bench.records.exchange.archive import BundleProblem
from bench.records.exchange.bodies import BODIES
from bench.records.exchange.names import number_problem
from tests.records.exchange.forged import chained, document, taken_from
from tests.records.exchange.kept import NUMBER, bodies
from tests.records.exchange.readers import reads, short_reads

NOTE: list[tuple[str, Any]] = [("note", {"text": "one"}), ("note", {"text": "two"}), ("note", {"text": "three"})]
ESCAPES = "\x1b]52;c;AAAA\x07\x1b[2J\x9b31m\x00\r\u202e\u2066<script>alert(1)</script>#panic(1)"


def refused(folder: Path, contents: bytes) -> str:
    with pytest.raises(BundleProblem) as told:
        taken_from(folder, contents)
    said = str(told.value)
    assert len(said.splitlines()) == 1
    return said


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda t: t.replace(b"two", b"tw0"), "entry 2 (note) was altered"),
        (lambda t: t.replace(b'"kind":"note"', b'"kind":"mark"', 1), "entry 1 (mark) was altered"),
        (lambda t: b"".join(t.splitlines(True)[:2] + t.splitlines(True)[3:]), "entry 2 is missing"),
        (lambda t: b"".join(t.splitlines(True)[:2]) + b"]}\n", "it was cut"),
        (lambda t: t[:-3], "is cut"),
        (lambda t: t + b"\n", "goes on behind its end"),
        (lambda t: t.replace(b"TP-0107", b"TP-0108", 1), "entry 1 (note) was altered"),
        (lambda t: t.replace(b'"job":"TP-0107"', b'"job":"../../../etc"', 1), "expected letters, digits"),
        (lambda t: t.replace(b'"job":"TP-0107"', b'"job":"aux.x"', 1), "the name of a device"),
        (lambda t: t.replace(b'"schema":1', b'"schema":2', 1), "schema 2 is newer than this program"),
        (lambda t: t.replace(b'"schema":1', b'"schema":true', 1), "expected schema 1"),
        (lambda t: t.replace(b'"what":"record of a job"', b'"what":"a poem"', 1), "expected schema 1 and what"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":"two","text":"2"}'), "the key 'text' twice"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":NaN}'), "holds NaN"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":-Infinity}'), "holds -Infinity"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":1e400}'), "is too large for a number"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":' + b"9" * 5_000 + b"}"), "is too large for a number"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":0.' + b"9" * 5_000 + b"}"), "hundreds of digits"),
        (lambda t: t.replace(b'{"text":"two"}', b'{"text":' + b"[" * 100_000 + b"]" * 100_000 + b"}"), "in each other"),
        (lambda t: t.replace(b'"two"', b'"\\ud800"'), "half of a surrogate pair"),
        (lambda t: t.replace(b'"two"', b'"\xed\xa0\x80"'), "is no UTF-8 text"),
        (lambda t: t.replace(b'"seq":2', b'"seq":"2"'), "a field is of the wrong kind"),
        (lambda t: t.replace(b'"seq":2', b'"seq":2.0'), "a field is of the wrong kind"),
        (lambda t: t.replace(b'"monotonic":2.5', b'"monotonic":2'), "a field is of the wrong kind"),
        (lambda t: t.replace(b'"kind":"note"', b'"kind":"\\u001b[2J"', 1), "its kind is none"),
        (lambda t: t.replace(b"2026-03-01T09:30:00.000001+00:00", b"\\u001b[2J", 1), "expected a time in UTC"),
        (lambda t: t.replace(b"2026-03-01T09:30:00.000001+00:00", b"2026-03-01T09:30:00", 1), "expected a time in UTC"),
        (lambda t: t.replace(b'"body":{"text":"two"}', b'"body":[]'), "a field is of the wrong kind"),
        (lambda t: t.replace(b'"hash"', b'"hush"', 1), "expected at, body, hash"),
        (lambda t: b"{}", "is cut"),
        (lambda t: b"{}\n", "is no record of a job"),
        (lambda t: b"", "is cut"),
        (lambda t: json.dumps(json.loads(t)).encode() + b"\n", "is no record of a job"),
    ],
)  # fmt: skip
def test_a_document_that_is_not_whole_is_refused(tmp_path: Path, change: Callable[[bytes], bytes], told: str) -> None:
    whole = document(chained(NOTE))
    with taken_from(tmp_path, whole) as store:
        assert store.count(NUMBER) == 3
    (tmp_path / "again").mkdir()
    changed = change(whole)
    assert changed != whole
    assert told in refused(tmp_path / "again", changed)


def test_a_line_without_end_is_not_read_to_its_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.records.exchange.entries_file.LONGEST_LINE", 10_000)
    assert "a line of more than" in refused(tmp_path, document(chained([("note", {"text": "x" * 20_000})])))


@pytest.mark.parametrize(
    "number", ["", ".", "..", "a/b", "a\\b", "-x", "CON", "com1.lock", "nul.", "a.", "x" * 41, "a\n"]
)
def test_a_number_that_names_no_file_of_its_own_is_none(number: str) -> None:
    assert number_problem(number)


@pytest.mark.parametrize("number", ["TP-0107", "1", "a.b_c-D", "console", "com10"])
def test_numbers_of_jobs_are(number: str) -> None:
    assert not number_problem(number)


def test_each_kind_of_entry_says_what_it_holds() -> None:
    assert set(BODIES) == set(Kind)


def test_a_kind_of_a_newer_program_is_kept_as_it_is(tmp_path: Path) -> None:
    kept = [*NOTE, ("dream", {"of": {"sheep": [1, {"x": None}]}})]
    with taken_from(tmp_path, document(chained(kept))) as store:
        assert store.entries(NUMBER)[-1].body == kept[-1][1]
        short_reads(store)


def test_control_codes_and_markup_are_kept_and_shown_inert(tmp_path: Path) -> None:
    """Texts of every kind of entry are hostile here; readers look for what a terminal would obey, and for scripts."""
    hostile = [(kind, _with_escapes(kind, body)) for kind, body in bodies()]
    with taken_from(tmp_path, document(chained(hostile))) as store:
        assert store.entries(NUMBER, Kind.VARNISH)[-1].body["value"].startswith("\x1b")
        reads(store)


_MEANT = {
    "file", "sha256", "quantity", "state", "verdict", "what", "at", "fault", "part", "id", "ask", "check", "form",
    "date", "head",
}  # fmt: skip


def _with_escapes(kind: str, body: Any, key: str = "") -> Any:
    if isinstance(body, dict):
        return {one: _with_escapes(kind, each, one) for one, each in body.items()}
    if isinstance(body, list):
        return [_with_escapes(kind, each, key) for each in body]
    if isinstance(body, str) and key not in _MEANT and not (kind in (Kind.JOB_FILE, Kind.PROFILES) and key == "text"):
        return (ESCAPES + body)[:20] if key == "unit" else ESCAPES + body
    return body


_VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**15), 10**15), st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["", "primary", "ht", "1e999 ohm", "-5 V", "0 ohm", "9" * 30, "layer end", "anew", "bake 1",
                     ESCAPES, "2001-01-01T00:00:00+00:00", "nan", "good", "accepted"]),
    st.text(max_size=20), st.lists(st.integers() | st.text(max_size=5), max_size=4),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=3),
)  # fmt: skip


def _places(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [at] if at else []
    if isinstance(value, dict):
        for key in value:
            found += _places(value[key], (*at, key))
    elif isinstance(value, list):
        for place in range(min(len(value), 6)):
            found += _places(value[place], (*at, place))
    return found


@st.composite
def forged(draw: st.DrawFn) -> list[tuple[str, Any]]:
    """The record of a job with some bodies changed at some places; broken off in the middle of its test, or not."""
    kept = list(bodies())
    if draw(st.booleans()):
        kept = kept[: next(place for place, (kind, _) in enumerate(kept) if kind == Kind.RESULT) - 40]
    by_kind: dict[str, list[int]] = {}
    for place, (kind, _) in enumerate(kept):
        by_kind.setdefault(kind, []).append(place)
    for _ in range(draw(st.integers(1, 3))):
        place = draw(st.sampled_from(by_kind[draw(st.sampled_from(sorted(by_kind)))]))
        body = copy.deepcopy(kept[place][1])
        where = draw(st.sampled_from(_places(body) or [("x",)]))
        inside = body
        for step in where[:-1]:
            inside = inside[step]
        if draw(st.integers(0, 4)) == 0 and where[-1] in inside:
            del inside[where[-1]]
        else:
            inside[where[-1]] = draw(_VALUES)
        kept[place] = kept[place][0], body
    return kept


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(forged())
def test_whatever_is_in_a_record_that_is_taken_no_view_stumbles_over_it(kept: list[tuple[str, Any]]) -> None:
    with TemporaryDirectory() as folder:
        _read_if_taken(Path(folder), kept, short_reads)


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(forged())
def test_nor_what_goes_on_from_it(kept: list[tuple[str, Any]]) -> None:
    with TemporaryDirectory() as folder:
        _read_if_taken(Path(folder), kept, reads)


def _read_if_taken(folder: Path, kept: list[tuple[str, Any]], read: Callable[[Any], None]) -> None:
    try:
        store = taken_from(folder, document(chained(kept)))
    except BundleProblem:
        return
    with store:
        read(store)

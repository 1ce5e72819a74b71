"""A certificate that was given is never silently another one: numbered, kept, amended with a reason."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest

from bench.job.profiles import example_job
from bench.records.attachments import attachments_folder
from bench.records.certificate import Form, Gift, NoTestYet, ReasonWanting, give
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.record_checked import checked

NUMBER = "TP-0107"
_TEXT = example_job("coastal-receiver").read_text(encoding="utf-8")


def _result(verdict: str = "accepted") -> dict[str, Any]:
    return {"schema": 1, "verdict": verdict, "steps": [], "findings": [], "not_done": [], "next": None}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """With one finished test."""
    with Store(tmp_path / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        store.append(NUMBER, Kind.RESULT, _result())
        yield store


def _given(store: Store, form: Form = Form.PAGE, because: str = "", day: str = "2026-03-04") -> Gift:
    return give(store, NUMBER, form, f"certificate.{form}", because, lambda: day)


def _mend_owner(store: Store) -> None:
    mended = _TEXT.replace("Lighthouse museum", "Lightship museum")
    store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": mended})


def _paper_words(contents: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(contents))
    return " ".join(" ".join(one.extract_text() for one in reader.pages).split())


def test_the_first_is_number_one_and_kept_with_its_hash_and_the_head(store: Store) -> None:
    head, entries = store.head(NUMBER), store.count(NUMBER)
    gift = _given(store)
    kept = store.entries(NUMBER, Kind.CERTIFICATE)
    assert [(one.body["number"], one.body["form"], one.body["name"]) for one in kept] == [
        (1, "html", "certificate.html")
    ]
    assert (kept[0].body["head"], kept[0].body["head_entry"]) == (head, entries)
    assert kept[0].body["sha256"] == hashlib.sha256(gift.contents).hexdigest()
    assert (attachments_folder(store.path) / kept[0].body["file"]).read_bytes() == gift.contents
    assert b"Certificate 1, given 2026-03-04" in gift.contents
    assert head.encode() in gift.contents


def test_again_with_nothing_changed_is_the_same_file_and_no_amendment(store: Store) -> None:
    first = _given(store)
    again = _given(store, day="2026-09-01")
    assert (again.contents, again.copy) == (first.contents, True)
    assert store.count(NUMBER) == 3


def test_what_it_does_not_tell_of_amends_nothing(store: Store) -> None:
    first = _given(store)
    store.append(NUMBER, Kind.TEST_BEGUN, {"procedure": "before-varnish", "sitting": 2})
    store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT.replace("turns = 15", "turns = 16")})
    assert _given(store).contents == first.contents


def test_another_form_of_it_has_its_number_its_day_and_its_head(store: Store) -> None:
    head = store.head(NUMBER)
    _given(store)
    paper = _given(store, Form.PAPER, day="2026-09-01")
    words = _paper_words(paper.contents)
    assert "Certificate 1, given 2026-03-04" in words
    assert f"--head {head}" in words
    assert [one.body["number"] for one in store.entries(NUMBER, Kind.CERTIFICATE)] == [1, 1]
    assert _given(store, Form.PAPER).copy


def test_a_kept_file_that_is_lost_is_set_anew_and_told(store: Store) -> None:
    _given(store)
    kept = attachments_folder(store.path) / store.entries(NUMBER, Kind.CERTIFICATE)[0].body["file"]
    kept.unlink()
    again = _given(store)
    assert not again.copy
    assert "not kept whole any more" in again.notes[0]
    assert again.given.number == 1


def test_without_a_reason_nothing_is_amended(store: Store) -> None:
    _given(store)
    _mend_owner(store)
    before = store.count(NUMBER)
    with pytest.raises(ReasonWanting, match="owner: “Lightship museum") as wanting:
        _given(store)
    assert wanting.value.date == "2026-03-04"
    assert store.count(NUMBER) == before


def test_an_amendment_names_what_it_amends_what_changed_and_why(store: Store) -> None:
    first = _given(store)
    head = store.entries(NUMBER, Kind.CERTIFICATE)[0].body["head"]
    _mend_owner(store)
    store.append(NUMBER, Kind.NOTE, {"text": "lead 4 sleeved anew"})
    for form in Form:
        second = _given(store, form, "the owner's name was misspelt", "2026-05-06")
        words = _paper_words(second.contents) if form is Form.PAPER else " ".join(second.contents.decode().split())
        for said in (
            "Certificate 2, given 2026-05-06: amendment 1 to the certificate of 2026-03-04",
            "name was misspelt",
            "in place of",
            "lead 4 sleeved anew",
            head,
            hashlib.sha256(first.contents).hexdigest(),
        ):
            assert said in words, said
    assert store.entries(NUMBER, Kind.CERTIFICATE)[0].body["number"] == 1


def test_the_third_tells_of_both_amendments(store: Store) -> None:
    _given(store)
    _mend_owner(store)
    _given(store, because="misspelt", day="2026-05-06")
    store.append(NUMBER, Kind.RESULT, _result("rejected"))
    third = _given(store, because="tested again after a fall", day="2026-07-08").contents.decode()
    assert "Certificate 3, given 2026-07-08: amendment 2 to the certificate of 2026-05-06" in third
    assert "misspelt" in third
    assert "tested again after a fall" in third
    assert ": rejected; the one before, of " in third


def test_going_back_to_what_the_first_said_is_an_amendment_too(store: Store) -> None:
    first = _given(store)
    _mend_owner(store)
    _given(store, because="misspelt")
    store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
    third = _given(store, because="it was right before")
    assert third.given.number == 3
    assert third.contents != first.contents


def test_a_job_whose_design_changed_is_certified_as_it_was_tested(store: Store) -> None:
    text = _TEXT.replace("turns = 15", "turns = 16").replace("Lighthouse museum", "Lightship museum")
    store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": text.replace("layers = [15]", "layers = [16]")})
    words = _given(store).contents.decode()
    assert "Lightship museum" in words
    assert '<td class="n">15</td>' in words
    assert '<td class="n">16</td>' not in words


def test_what_was_wound_or_stacked_after_the_test_is_told_loudly(store: Store) -> None:
    store.append(NUMBER, Kind.RESTACK, {"part": "laminations_in", "value": "96 E 96 I"})
    words = _given(store).contents.decode()
    assert "AFTER THE TEST: core stacked" in words
    assert "put in 96 E 96 I" not in words


def test_what_went_over_the_lines_stands_in_it_by_its_hash(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        for number in range(5):
            store.append(
                NUMBER, Kind.WIRE_LOG, {"file": f"line-{number}.jsonl", "bytes": 9, "sha256": f"{number}" * 64}
            )
        store.append(NUMBER, Kind.RESULT, _result())
        words = _given(store).contents.decode()
    assert "line-4.jsonl 4444444444444444… and 2 more in the record" in words


def test_a_typed_reason_is_text(store: Store) -> None:
    _given(store)
    _mend_owner(store)
    hostile = "#panic(1) *b* <script>alert(1)</script> \u202e"
    for form in Form:
        made = _given(store, form, hostile)
        words = _paper_words(made.contents) if form is Form.PAPER else made.contents.decode()
        assert "#panic(1) *b*" in words
        assert form is Form.PAPER or "<script>" not in words
        assert "\u202e" not in words


def test_a_certificate_that_was_altered_shows_in_the_record(store: Store) -> None:
    _given(store)
    assert checked(store, NUMBER).problems == ()
    kept = attachments_folder(store.path) / store.entries(NUMBER, Kind.CERTIFICATE)[0].body["file"]
    kept.chmod(0o600)
    kept.write_bytes(b"another")
    assert "was altered" in checked(store, NUMBER).problems[0]


@pytest.mark.parametrize(
    "odd",
    [
        {}, {"number": 0}, {"number": "1"}, {"number": True}, {"head_entry": None}, {"date": "yesterday"},
        {"head": 5}, {"sha256": None}, {"file": ["x"]}, {"form": None},
    ],
)  # fmt: skip
def test_an_entry_of_another_s_record_that_tells_of_no_certificate_is_passed_over(
    store: Store, odd: dict[str, Any]
) -> None:
    whole = {"number": 1, "head_entry": 2, "date": "2026-03-04", "form": "html", "head": "", "sha256": "", "file": ""}
    store.append(NUMBER, Kind.CERTIFICATE, {**whole, **odd} if odd else {})
    assert _given(store).given.number == 1
    assert _given(store).copy


def test_before_a_test_there_is_none(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store, pytest.raises(NoTestYet):
        _given(store)

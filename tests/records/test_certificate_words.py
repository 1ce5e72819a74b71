"""What a person typed may be anything, and a job may be nearly empty: a certificate is made all the same."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pypdf
import pytest

from bench.design.inert import LONGEST, plain
from bench.job.profiles import example_job
from bench.records.certificate import Facts, facts_of, page, paper
from bench.records.entry import Kind
from bench.records.store import Store

NUMBER = "TP-0107"
_TEXT = example_job("coastal-receiver").read_text(encoding="utf-8")


def _facts(folder: Path, text: str = _TEXT, verdict: str = "accepted", note: str = "") -> Facts:
    body: dict[str, Any] = {"schema": 1, "verdict": verdict, "steps": [], "findings": [], "not_done": [], "next": None}
    with Store(folder / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": text})
        if note:
            store.append(NUMBER, Kind.NOTE, {"text": note})
        store.append(NUMBER, Kind.RESULT, body)
        return facts_of(store, NUMBER)


def _words(made: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(made))
    return " ".join(" ".join(one.extract_text() for one in reader.pages).split())


def test_marks_that_turn_a_line_round_and_bells_are_left_out() -> None:
    assert plain("a\u202eb\u2066c\x07\x1b[31m\n d") == "abc[31m d"
    assert plain("می\u200cخواهم") == "می\u200cخواهم"


def test_a_long_text_is_cut_and_says_so_and_a_long_word_can_be_broken() -> None:
    assert plain("ab " * 2000).endswith("… (cut short here)")
    assert len(plain("ab " * 2000)) < LONGEST + 40
    assert max(len(part) for part in plain("W" * 300).split("\u200b")) <= 32


@pytest.mark.parametrize("sign", ["ก", "\U00010900"], ids=["thai", "phoenician"])
def test_a_sign_is_printed_or_named_by_its_number_and_never_a_box(tmp_path: Path, sign: str) -> None:
    """Typst itself refuses a tagged paper with a sign that it could not show."""
    made = paper(_facts(tmp_path, note=f"before {sign} after"))
    words = _words(made)
    number = f"[U+{ord(sign):04X}]"
    assert f"before {sign} after" in words or f"before {number} after" in words
    assert (number in words) == ("by its number in Unicode" in words)
    assert pypdf.PdfReader(io.BytesIO(made)).root_object["/MarkInfo"]["/Marked"]  # type: ignore[index]


def test_many_signs_that_nobody_has_a_font_for_keep_nobody_waiting(tmp_path: Path) -> None:
    note = "".join(chr(c) for c in range(0x1B000, 0x1B000 + 600))
    assert "[U+1B000]" in _words(paper(_facts(tmp_path, note=note))) or "\U0001b000" in _words(
        paper(_facts(tmp_path / "again", note=note))
    )


def test_a_nearly_empty_job_without_readings_has_one(tmp_path: Path) -> None:
    text = f'schema = 1\n[identity]\nnumber = "{NUMBER}"\n'
    facts = _facts(tmp_path, text, "incomplete")
    for words in (page(facts), _words(paper(facts))):
        assert "None was taken." in words
        assert "INCOMPLETE: not shown to be fit for use" in words


def test_forty_windings_stand_in_it_each_in_its_row(tmp_path: Path) -> None:
    head = '[[winding]]\nname = "{0}"\nrole = "{1}"\nturns = {2}\nwire = "0.3 mm"\nrated_voltage = "5 V"\n'
    windings = [head.format("primary", "primary", 662)]
    windings += [head.format(f"w{number}", "secondary", 100 + number) for number in range(40)]
    text = _TEXT.partition("[[winding]]")[0] + "\n".join(windings)
    words = _words(paper(_facts(tmp_path, text)))
    assert [number for number in range(40) if f"w{number}" not in words or str(100 + number) not in words] == []


def test_both_ratings_stand_side_by_side(tmp_path: Path) -> None:
    """Flux by hand: 117 V / (4.4429 x 60 Hz x 280 x 13.39 cm2) and 230 V / (4.4429 x 50 Hz x 662 x 13.39 cm2)."""
    rows = {row[0]: row[1:] for row in _facts(tmp_path).ratings}
    assert rows["supply"] == ("117 V, 60 Hz", "230 V, 50 Hz, ±10 %")
    assert rows["heater"] == ("6.30 V, 3.00 A", "6.30 V, 3.00 A")
    assert rows["peak flux density, nominal"] == ("1.17 T", "1.17 T")
    assert rows["the same at +10 %"] == ("", "1.28 T")
    # 500 V x 60 mA + 5 V x 2 A + 6.3 V x 3 A
    assert rows["power, secondaries V × A"] == ("85.0 VA by label", "58.9 VA")


def test_cautions_are_of_this_unit(tmp_path: Path) -> None:
    said = " ".join(_facts(tmp_path).cautions)
    # 253 V x 1554 / 662, and the primary itself
    assert "up to 594 V on ht, 253 V on primary" in said
    assert "rated current of the primary: 350 mA" in said
    assert "lead E (green-yellow) of screen too, never its other end T (white)" in said
    assert "made for 117 V" in said
    assert "made for 60 Hz and meet 50 Hz" in said
    assert "Tested without varnish on record" in said


@pytest.mark.parametrize("verdict", ["rejected", "undecided", "incomplete", "trouble"])
def test_a_unit_that_is_not_accepted_is_warned_of_first(tmp_path: Path, verdict: str) -> None:
    facts = _facts(tmp_path, verdict=verdict)
    assert facts.cautions[0] != _facts(tmp_path / "good").cautions[0]
    assert 'class="cautions first"' in page(facts)


def test_what_was_stacked_and_varnished_stands_in_it(tmp_path: Path) -> None:
    body: dict[str, Any] = {
        "schema": 1, "verdict": "accepted", "steps": [], "findings": [], "not_done": [], "next": None,
    }  # fmt: skip
    with Store(tmp_path / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        for part, value in (("laminations_in", "90 E 90 I"), ("left_over", "0 E 0 I"), ("earth", "joined")):
            store.append(NUMBER, Kind.RESTACK, {"part": part, "value": value})
        store.append(NUMBER, Kind.WINDING_CHECK, {"check": "ohms", "winding": "ht", "batch": "reel 7"})
        store.append(NUMBER, Kind.RESULT, body)
        for part, value in (("varnish", "Alkyd 7"), ("batch", "B-12"), ("bake 1", "90 C 6 h")):
            store.append(NUMBER, Kind.VARNISH, {"part": part, "value": value})
        facts = facts_of(store, NUMBER)
    unit = {row[0]: row[1] for row in facts.unit}
    assert unit["Stacked"] == "put in 90 E 90 I, left over 0 E 0 I, earth lead joined"
    assert "after this test; varnish Alkyd 7, batch B-12, bake, step 1 90 C 6 h" in unit["Varnish"]
    assert [row[-1] for row in facts.windings] == ["", "reel 7", "", ""]

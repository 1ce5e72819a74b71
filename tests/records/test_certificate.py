"""The certificate: from the record alone, inert, modest, and readable by programs that nobody here wrote."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pypdf
import pytest
import zxingcpp
from PIL import Image

from bench.job.profiles import example_job
from bench.records.certificate import Facts, NoTestYet, facts_of, page, paper
from bench.records.certificate.code import code_drawn
from bench.records.certificate.curve import curve_drawn, curve_points
from bench.records.certificate.readings import readings_of
from bench.records.certificate.windings import COUNTED
from bench.records.entry import Kind
from bench.records.store import Store
from tests.acceptance.ideal_bench import run_ideal

NUMBER = "TP-0107"
_TEXT = example_job("coastal-receiver").read_text(encoding="utf-8")
_HOSTILE = "#panic(1) *b* $x$ \\ @a <script>alert('x')</script> & \u202e\x07 ``` ]"


@pytest.fixture(scope="module")
def result() -> dict[str, Any]:
    return run_ideal()[0].as_json()


def _facts(
    folder: Path,
    result: dict[str, Any],
    text: str = _TEXT,
    before: tuple[tuple[Kind, dict[str, Any]], ...] = (),
    after: tuple[tuple[Kind, dict[str, Any]], ...] = (),
) -> Facts:
    with Store(folder / "r.sqlite") as store:
        for kind, body in before:
            store.append(NUMBER, kind, body)
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": text, "workshop": {"name": "Harbour lane"}})
        store.append(NUMBER, Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0})
        for kind, body in after:
            store.append(NUMBER, kind, body)
        store.append(NUMBER, Kind.RESULT, result)
        return facts_of(store, NUMBER)


def _words(made: bytes) -> tuple[str, int]:
    """All that another program reads in a PDF, blanks made one; how many pages it has."""
    reader = pypdf.PdfReader(io.BytesIO(made))
    return " ".join(" ".join(one.extract_text() for one in reader.pages).split()), len(reader.pages)


def _both(facts: Facts) -> tuple[str, str]:
    return " ".join(page(facts).split()), _words(paper(facts))[0]


def test_both_name_unit_ratings_windings_readings_verdict_and_place_in_the_chain(
    tmp_path: Path, result: dict[str, Any]
) -> None:
    facts = _facts(tmp_path, result)
    with Store(tmp_path / "r.sqlite") as store:
        head = store.head(NUMBER)
    said = (
        "Heronsway 31", "31-0482", "Lighthouse museum", "117 V, 60 Hz", "230 V, 50 Hz, ±10 %", "EI 96", "Harbour lane",
        "red-yellow", "662.0", "0.9 mm, 2 in hand", "500 V, 60.0 mA", "exciting current at 110 %", "JCGM 106",
        "Not tested", "common practice", f"{NUMBER}", facts.date,
    )  # fmt: skip
    for made in _both(facts):
        assert [one for one in said if one not in made] == []
        assert "accepted" in made.lower()
        assert head in made
        assert f"turnproof record verify {NUMBER} --head {head}" in made


def test_paper_is_at_most_two_pages_tagged_and_titled(tmp_path: Path, result: dict[str, Any]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(paper(_facts(tmp_path, result))))
    assert len(reader.pages) == 2
    assert reader.metadata is not None
    assert reader.metadata.title == f"Test of a rewound transformer, job {NUMBER}"
    assert bool(reader.root_object["/MarkInfo"]["/Marked"])  # type: ignore[index]
    assert reader.root_object["/Lang"] == "en"
    assert [round(float(side)) for side in reader.pages[0].mediabox[2:]] == [595, 842]


def test_the_same_record_gives_the_same_bytes(tmp_path: Path, result: dict[str, Any]) -> None:
    facts = _facts(tmp_path, result)
    assert paper(facts) == paper(facts)
    assert page(facts) == page(facts)


def test_what_a_person_typed_is_text_and_nothing_else(tmp_path: Path, result: dict[str, Any]) -> None:
    typed = "".join(c for c in _HOSTILE if c.isprintable()).replace("\\", "\\\\").replace('"', '\\"')
    text = _TEXT.replace('owner = "', f'owner = "{typed} ').replace('name = "Mains', f'name = "{typed} Mains')
    facts = _facts(tmp_path, result, text, after=((Kind.NOTE, {"text": _HOSTILE}),))
    on_page, on_paper = _both(facts)
    assert "<script>" not in on_page
    assert "&lt;script&gt;" in on_page
    unbroken = on_paper.replace(" ", "")  # a line may be broken anywhere
    assert unbroken.count("#panic(1)*b*$x$") == unbroken.count("<script>alert('x')</script>") == 3


def test_signs_that_its_own_fonts_lack_spoil_no_certificate(tmp_path: Path, result: dict[str, Any]) -> None:
    facts = _facts(tmp_path, result, _TEXT.replace('owner = "', 'owner = "港の灯台 '))
    words, pages = _words(paper(facts))
    assert "Lighthouse museum" in words
    assert pages == 2


def test_the_page_loads_nothing_from_elsewhere(tmp_path: Path, result: dict[str, Any]) -> None:
    made = page(_facts(tmp_path, result))
    assert "default-src 'none'" in made
    assert "http://" not in made.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in made


def test_it_says_tested_and_claims_no_conformity(tmp_path: Path, result: dict[str, Any]) -> None:
    for made in _both(_facts(tmp_path, result)):
        assert "Tested as listed" in made
        assert "no statement that the unit complies with any standard" in made
        assert made.count("complies") == 1


def test_a_rejected_unit_shows_what_would_explain_it_and_what_was_left_out(
    tmp_path: Path, result: dict[str, Any]
) -> None:
    finding = {
        "fault": "turns_wrong", "winding": "heater", "size": "+2 turns",
        "probability": 0.91, "evidence": ["heater high"],
        "check": "series sum of heater and rectifier", "remedy": "take two turns off the heater", "rungs": [],
    }  # fmt: skip
    left_out = [
        {"id": name, "reason": "no tester on this bench", "required": False} for name in ("hipot:ht", "hipot:heater")
    ]
    other = {**result, "verdict": "rejected", "findings": [finding], "not_done": left_out}
    for made in _both(_facts(tmp_path, other)):
        assert "91 %" in made
        assert "2 turns" in made
        assert "take two turns off the heater" in made
        assert "hipot:ht, hipot:heater" in made
        assert "no tester on this bench" in made


def test_corrections_stand_beside_what_they_correct(tmp_path: Path, result: dict[str, Any]) -> None:
    correction = {"winding": "ht", "turns": 412.0, "before": 411.0, "reason": "counted again by hand"}
    for made in _both(_facts(tmp_path, result, after=((Kind.CORRECTION, correction),))):
        assert "ht: count set from 411 to 412: counted again by hand" in made


def test_a_count_that_is_not_sure_says_within_what(tmp_path: Path, result: dict[str, Any]) -> None:
    unsure = {"winding": "ht", "turns": 1552.0, "low": 1550.0, "high": None}
    facts = _facts(tmp_path, result, after=((Kind.WINDING_DONE, unsure),))
    assert dict((row[0], row[COUNTED]) for row in facts.windings)["ht"] == "1552.0 (1550.0 to not known)"


def test_without_a_finished_test_there_is_none(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store, pytest.raises(NoTestYet, match="no finished test"):
        facts_of(store, NUMBER)


def test_of_several_meters_each_is_named_with_its_role_and_calibration(tmp_path: Path, result: dict[str, Any]) -> None:
    desk = {
        "role": "volts", "name": "desk", "identity": "DESK", "serial": "0417", "calibrated": "2026-03-02",
        "calibration_due": "2027-03-02", "certificate": "K-118",
    }  # fmt: skip
    facts = _facts(
        tmp_path, result,
        before=((Kind.INSTRUMENT, {"name": "of an earlier test", "identity": "OLD", "role": "ohms"}),),
        after=((Kind.INSTRUMENT, desk), (Kind.INSTRUMENT, {"name": "second", "identity": "SECOND", "role": "amps"})),
    )  # fmt: skip
    for made in _both(facts):
        assert "Meter for volts: desk DESK, serial number 0417" in made
        assert "calibrated 2026-03-02, due 2027-03-02, certificate K-118" in made
        assert "Meter for amps: second SECOND, no calibration on record" in made
        assert "OLD" not in made


def test_a_job_without_a_plan_or_a_curve_has_a_certificate_too(tmp_path: Path, result: dict[str, Any]) -> None:
    few = {**result, "steps": [step for step in result["steps"] if step["quantity"] != "current_ac"][:8]}
    text = _TEXT.replace('lamination = "EI 96"\n', "")
    facts = _facts(tmp_path, few, text)
    words, pages = _words(paper(facts))
    assert "Window section" not in words
    assert "Exciting current" not in words
    assert pages <= 2
    assert "<svg" in page(facts)  # the code in its corner


def test_another_reader_finds_the_command_in_the_code() -> None:
    """Decoded by zxing-cpp from the modules as they are drawn."""
    wanted = f"turnproof record verify {NUMBER} --head {'0123456789abcdef' * 4}"
    found = zxingcpp.read_barcodes(_picture(code_drawn(wanted)))
    assert [one.text for one in found] == [wanted]


def _picture(svg: str) -> Image.Image:
    """Drawn by Qt, which did not make it."""
    from PySide6.QtCore import QByteArray
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    image = QImage(600, 600, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    QSvgRenderer(QByteArray(svg.encode())).render(painter)
    painter.end()
    return Image.frombytes("RGBA", (600, 600), bytes(image.constBits())).convert("L")


def test_the_curve_is_drawn_where_the_steps_have_it(result: dict[str, Any]) -> None:
    points = curve_points(result["steps"])
    assert [point.volts for point in points] == pytest.approx([115.0, 172.5, 230.0, 253.0])
    assert all(point.limit is not None and point.amps < point.limit for point in points)
    assert curve_drawn(points).count("<circle") == 5  # four and the legend's
    assert curve_drawn(points[:1]) == ""


def test_each_step_stands_once_and_each_ground_has_a_number(result: dict[str, Any]) -> None:
    readings = readings_of(result["steps"])
    assert len(readings.rows) + len(readings.looks) == len(result["steps"])
    assert {row.ground for row in readings.rows} <= set(range(len(readings.grounds) + 1))
    for step, row in zip(
        [step for step in result["steps"] if step["label"] not in readings.looks], readings.rows, strict=True
    ):
        assert row.ground == 0 if not step["basis"] else readings.grounds[row.ground - 1] == step["basis"]

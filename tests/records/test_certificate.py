"""The certificate: from the record alone, inert, and modest."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.profiles import example_job
from bench.records.certificate import NoTestYet, certificate_from_record
from bench.records.entry import Kind
from bench.records.store import Store
from tests.acceptance.ideal_bench import run_ideal

_TEXT = example_job("coastal-receiver").read_text(encoding="utf-8")


def _certificate(path: Path, text: str = _TEXT) -> str:
    result, _ = run_ideal()
    with Store(path / "r.sqlite") as store:
        store.append("TP-0107", Kind.JOB_FILE, {"file": "job.toml", "text": text})
        store.append("TP-0107", Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0})
        store.append("TP-0107", Kind.RESULT, result.as_json())
        return certificate_from_record(store, "TP-0107")


def test_it_names_unit_windings_readings_verdict_and_its_place_in_the_chain(tmp_path: Path) -> None:
    page = _certificate(tmp_path)
    with Store(tmp_path / "r.sqlite") as store:
        head = store.head("TP-0107")
    for said in ("Heronsway 31", "red-yellow", "0.9 mm, 2 in hand", "exciting current at 110 %", "accepted", head):
        assert said in page


def test_what_a_person_typed_is_inert(tmp_path: Path) -> None:
    typed = _TEXT.replace('owner = "', "owner = \"<script>alert('x')</script> & ")
    page = _certificate(tmp_path, typed)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_it_says_tested_and_claims_no_conformity(tmp_path: Path) -> None:
    page = " ".join(_certificate(tmp_path).split())
    assert "Tested as listed" in page
    assert "no statement that the unit complies with any standard" in page


def test_without_a_finished_test_there_is_none(tmp_path: Path) -> None:
    with Store(tmp_path / "r.sqlite") as store, pytest.raises(NoTestYet, match="no finished test"):
        certificate_from_record(store, "TP-0107")


def test_of_several_meters_each_is_named_with_its_role(tmp_path: Path) -> None:
    result, _ = run_ideal()
    with Store(tmp_path / "r.sqlite") as store:
        store.append("TP-0107", Kind.INSTRUMENT, {"name": "of an earlier test", "identity": "OLD", "role": "ohms"})
        store.append("TP-0107", Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        for role, name in (("volts", "desk"), ("amps", "second")):
            store.append("TP-0107", Kind.INSTRUMENT, {"name": name, "identity": name.upper(), "role": role})
        store.append("TP-0107", Kind.RESULT, result.as_json())
        page = " ".join(certificate_from_record(store, "TP-0107").split())
    assert "Meter for volts: desk DESK" in page
    assert "Meter for amps: second SECOND" in page
    assert "OLD" not in page

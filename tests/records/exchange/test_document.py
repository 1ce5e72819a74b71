"""The record as one document: verified from its bytes alone, as whoever reads the description would."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from bench.records.entry import Kind
from bench.records.exchange.document import document_lines, standing
from bench.records.exchange.document_schema import document_schema
from bench.records.store import Store
from tests.records.exchange.kept import NUMBER, keep_whole_job

# Written from the description in bench/records/exchange/document.py, with none of our code; no number is read.
VERIFIER = r"""
import hashlib, json, re, sys

text = open(sys.argv[1], "rb").read().decode("utf-8")
lines = text.split("\n")
top = json.loads(lines[0] + "]}")
assert lines[-2:] == ["]}", ""]
previous = "0" * 64
for number, line in enumerate(lines[1:-2], 1):
    line = line.removesuffix(",")
    entry = json.loads(line)
    body = line[line.index(',"body":') + len(',"body":') : -1]
    monotonic = re.search(r'"monotonic":([^,]*),', line)[1]
    assert entry["seq"] == number and entry["previous"] == previous, number
    told = json.dumps([previous, top["job"], number, entry["kind"], entry["at"], monotonic, body], ensure_ascii=False)
    assert hashlib.sha256(told.encode("utf-8")).hexdigest() == entry["hash"], number
    previous = entry["hash"]
assert previous == top["head"]
print(number, "entries whole")
"""


@pytest.fixture
def store(tmp_path: Path) -> Store:
    made = Store(tmp_path / "r.sqlite")
    keep_whole_job(made, tmp_path)
    made.append(NUMBER, Kind.NOTE, {"text": 'a\x1b[2J "b" \\ c\n\t\x7f\u2028\u202e', "numbers": [1e-7, 1e22, -0.0, 3]})
    return made


def _verified(folder: Path, text: str) -> subprocess.CompletedProcess[str]:
    (folder / "record.json").write_bytes(text.encode())
    (folder / "verify.py").write_text(VERIFIER)
    # -I: nothing of ours can be imported
    command = [sys.executable, "-I", str(folder / "verify.py"), str(folder / "record.json")]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, cwd=folder)


def test_a_program_of_its_own_verifies_it(store: Store, tmp_path: Path) -> None:
    done = _verified(tmp_path, "".join(document_lines(store, standing(store, NUMBER))))
    assert (done.returncode, done.stdout.strip()) == (0, f"{store.count(NUMBER)} entries whole"), done.stderr


@pytest.mark.parametrize(("was", "now"), [('"verdict":"accepted"', '"verdict":"rejected"'), ("12.4 ohm", "12.5 ohm"),
                                          ('"kind":"note"', '"kind":"mark"')])  # fmt: skip
def test_and_finds_what_was_altered(store: Store, tmp_path: Path, was: str, now: str) -> None:
    text = "".join(document_lines(store, standing(store, NUMBER)))
    assert was in text
    assert _verified(tmp_path, text.replace(was, now, 1)).returncode != 0


def test_it_fits_its_schema_by_another_reader_of_schemas(store: Store) -> None:
    schema = json.loads(document_schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    told = json.loads("".join(document_lines(store, standing(store, NUMBER))))
    assert [error.message for error in validator.iter_errors(told)] == []
    told["entries"][3]["seq"] = "3"
    reading = next(one for one in told["entries"] if one["kind"] == "reading")
    reading["body"]["value"] = "many"
    del told["head"]
    assert len(list(validator.iter_errors(told))) >= 3


def test_the_same_record_gives_the_same_bytes(store: Store) -> None:
    assert "".join(document_lines(store, standing(store, NUMBER))) == "".join(
        document_lines(store, standing(store, NUMBER))
    )

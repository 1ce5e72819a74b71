"""A record with all that a job comes through, for the tests of what goes out and comes in."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from PIL import Image

from bench.dashboard.pictures.dry_sitting import dry_sitting
from bench.dashboard.state import Snapshot
from bench.job.bench_file import BenchFile
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.records.attachments import attachments_folder, keep_file
from bench.records.certificate import Form, give
from bench.records.entry import Entry, Kind
from bench.records.kept_profiles import keep_tables
from bench.records.store import Store
from bench.sitting.winding_record import WindingRecord

JOB_FILE = example_job("coastal-receiver")
NUMBER = "TP-0107"
_BENCH = {"schema": 1, "meter": [{"name": "bench meter", "use": "scpi@/dev/ttyUSB0", "serial": "0417"}],
          "resistor": {"resistance": "1 kohm", "tolerance": 0.01}}  # fmt: skip


def keep_whole_job(store: Store, folder: Path) -> None:
    """Survey, windings, a finished test, what follows, a picture, a counter's lines."""
    for kind, body in bodies():
        if kind != Kind.CERTIFICATE:
            store.append(NUMBER, Kind(kind), body)
    give(store, NUMBER, Form.PAGE, "c.html")
    picture = keep_picture(store, folder)
    store.append(NUMBER, Kind.PICTURE, {"of": picture.seq, "caption": "core, cleaned", "on_certificate": True})
    keep_lines(store)


def keep_picture(store: Store, folder: Path) -> Entry:
    picture = folder / "core.png"
    picture.write_bytes(png())
    attached = keep_file(attachments_folder(store.path), picture)
    return store.append(NUMBER, Kind.PHOTO, {**attached.as_body(), "stage": "restack"})


def keep_lines(store: Store, contents: bytes = b'{"at": 0.5, "in": "hall 1 2 3"}\n') -> Entry:
    import hashlib

    name = "primary-20260301T093000-4242.jsonl"
    lines = store.path.parent / "lines" / NUMBER / name
    lines.parent.mkdir(parents=True, exist_ok=True)
    lines.write_bytes(contents)
    digest = hashlib.sha256(contents).hexdigest()
    return store.append(
        NUMBER, Kind.WIRE_LOG, {"winding": "primary", "file": name, "bytes": len(contents), "sha256": digest}
    )


def png() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 6), (101, 42, 3)).save(out, "PNG")
    return out.getvalue()


@cache
def bodies() -> tuple[tuple[str, dict[str, Any]], ...]:
    """Kind and body of everything but files, made once."""
    with TemporaryDirectory() as folder, Store(Path(folder) / "r.sqlite") as store:
        job = read_job(JOB_FILE)
        text = JOB_FILE.read_text(encoding="utf-8")
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": text, "workshop": {"name": "Harbour lane"}})
        store.append(NUMBER, Kind.AS_FOUND, {"part": "resistance", "winding": "primary", "resistance": "12.4 ohm",
                                             "temperature": "21 degC", "meter": "pocket meter"})  # fmt: skip
        _strip(store)
        for winding in job.winding:
            record = WindingRecord(store, NUMBER, winding.name)
            record.begin(record.state, winding.turns or 0, "typed")
            turns = float(winding.turns or 0)
            record.keep("layer", {"turns": 80.0, "total": 80.0, "text": "80"})
            record.keep("count", {"turns": turns, "low": turns, "high": turns, "counter": None})
            record.keep("winding done", {"turns": turns, "low": turns, "high": turns, "target": winding.turns})
        store.append(NUMBER, Kind.RESTACK, {"part": "left_over", "value": "none"})
        store.append(NUMBER, Kind.INSTRUMENT, {"name": "bench meter", "use": "scpi@/dev/ttyUSB0", "serial": "0417"})
        dry_sitting(job, BenchFile.model_validate(_BENCH), Snapshot(job=job), store)
        store.append(NUMBER, Kind.NOTE, {"text": "tags copied; 5 Ω\u2028\U0001f600"})
        keep_tables(store, NUMBER, [("steels", "m400-50a")])
        store.append(NUMBER, Kind.VARNISH, {"part": "varnish", "value": "alkyd"})
        result = store.last(NUMBER, Kind.RESULT)
        assert result is not None
        store.append(NUMBER, Kind.CERTIFICATE, {
            "number": 1, "date": "2026-03-02", "form": "html", "head": result.hash, "head_entry": result.seq,
            "verdict": "accepted", "sha256": "1" * 64, "bytes": 5, "file": f"{'1' * 64}.html", "name": "c.html",
        })  # fmt: skip
        return tuple((one.kind, one.body) for one in store.entries(NUMBER))


def _strip(store: Store) -> None:
    from bench.survey.stripping import Stripping

    state = Stripping("primary")
    body = {"winding": "primary", "off": 0.0, "expected": None, "stripping": state.as_saved()}
    store.append(NUMBER, Kind.STRIP_BEGUN, body)
    state = state.with_typed(338.0)
    store.append(NUMBER, Kind.STRIP_GO, {"winding": "primary", "off": 338.0, "turns": 338.0, "text": "338",
                                         "how": "typed", "stripping": state.as_saved()})  # fmt: skip
    store.append(NUMBER, Kind.STRIPPED, {"winding": "primary", "turns": 338.0, "low": 338.0, "high": 338.0,
                                         "within": 2.0, "how": "typed", "goes": 1, "expected": None})  # fmt: skip

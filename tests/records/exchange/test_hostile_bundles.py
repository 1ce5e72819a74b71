"""Bundles that somebody forged or a cable damaged: one line, nothing taken, nothing written anywhere."""

from __future__ import annotations

import hashlib
import io
import json
import random
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bench.records.attachments import attachments_folder
from bench.records.contents import keep_content
from bench.records.entry import Kind
from bench.records.exchange.archive import Archive, BundleProblem
from bench.records.exchange.bundle import contents_of, write_bundle
from bench.records.exchange.incoming import incoming
from bench.records.exchange.inert_page import POLICY
from bench.records.exchange.limits import MOST_FILES
from bench.records.exchange.taking import take
from bench.records.store import Store
from bench.sitting.bundle_file import bundle_of
from bench.sitting.import_file import taken
from bench.sitting.problems import BadInput
from tests.records.exchange.forged import chained, document
from tests.records.exchange.kept import JOB_FILE, NUMBER, keep_whole_job, png

Files = dict[str, bytes]
_PROFILE = "profiles/steels/m400-50a.toml"


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("good")
    out = io.BytesIO()
    with Store(folder / "records.sqlite") as store:
        keep_whole_job(store, folder)
        profiles = {"steels/m400-50a.toml": b"schema = 1\n"}
        write_bundle(store, contents_of(store, NUMBER, JOB_FILE.read_text(encoding="utf-8"), profiles), out)
    return out.getvalue()


@pytest.fixture
def room(tmp_path: Path) -> Path:
    (tmp_path / "data").mkdir()
    return tmp_path


def takes(room: Path, contents: bytes) -> int:
    """Looked through and taken as the command does; raises BundleProblem."""
    path = room / "b.zip"
    path.write_bytes(contents)
    with Store(room / "data" / "records.sqlite") as store, incoming(path, room) as coming:
        return take(store, coming)


def refused(room: Path, contents: bytes) -> str:
    """What is said; nothing may be taken or written."""
    with pytest.raises(BundleProblem) as told:
        takes(room, contents)
    with Store(room / "data" / "records.sqlite") as store:
        assert store.jobs() == []
    left = {path.name for path in room.rglob("*") if path.is_file()}
    assert left <= {"b.zip", "records.sqlite", "records.sqlite-wal", "records.sqlite-shm"}, left
    assert len(str(told.value).splitlines()) == 1
    return str(told.value)


def files_of(contents: bytes) -> Files:
    with zipfile.ZipFile(io.BytesIO(contents)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(files: Files, *, listed: bool = True, more: Callable[[zipfile.ZipFile], None] | None = None) -> bytes:
    """Zipped anew; listed: with a manifest that names what is there now."""
    files = dict(files)
    if listed:
        manifest = json.loads(files["manifest.json"])
        manifest["files"] = [
            {"name": name, "bytes": len(each), "sha256": hashlib.sha256(each).hexdigest()}
            for name, each in files.items() if name != "manifest.json"
        ]  # fmt: skip
        files["manifest.json"] = json.dumps(manifest).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, each in files.items():
            archive.writestr(name, each)
        if more is not None:
            more(archive)
    return out.getvalue()


def test_a_good_one_is_taken_and_so_is_one_that_was_unpacked_and_zipped_again(room: Path, good: bytes) -> None:
    assert takes(room, good) > 100
    with Store(room / "data" / "records.sqlite") as store:
        assert not store.verify(NUMBER)
    assert takes(room, zipped(files_of(good), listed=False)) == 0
    folders = zipped(files_of(good), more=lambda archive: archive.mkdir("attachments"))
    assert takes(room, folders) == 0


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("../../evil.toml", "leads out of the folder"),
        ("attachments/../../evil", "leads out of the folder"),
        ("/etc/passwd", "from the root of a disk"),
        ("C:\\Windows\\evil.toml", "from the root of a disk"),
        ("C:evil.toml", "from the root of a disk"),
        ("\\\\server\\share\\evil", "holds a backslash"),
        ("profiles\\evil.toml", "holds a backslash"),
        ("profiles/con.toml", "that of a device"),
        ("profiles/LPT1.x.toml", "that of a device"),
        ("nul", "that of a device"),
        ("profiles/a\nb.toml", "signs that are not shown"),
        ("profiles/a\x1b]0;b.toml", "signs that are not shown"),
        ("profiles/\u202elmot.a", "signs that are not shown"),
        ("profiles/a.toml.", "a bundle has no such file"),
        ("profiles/a b.toml", "a bundle has no such file"),
        ("profiles/ä.toml", "a bundle has no such file"),
        ("profiles/a.exe", "a bundle has no such file"),
        ("profiles/a/b/c.toml", "a bundle has no such file"),
        ("attachments/cat.png", "a bundle has no such file"),
        ("Record.json", "a bundle has no such file"),
        (".turnproof/bench.toml", "a bundle has no such file"),
    ],
)
def test_a_name_that_is_no_place_of_a_bundle_is_refused(room: Path, good: bytes, name: str, told: str) -> None:
    assert told in refused(room, zipped(files_of(good) | {name: b"schema = 1\n"}))
    unlisted = zipped(files_of(good), listed=False, more=lambda archive: archive.writestr(name, b"x"))
    assert told in refused(room, unlisted)


def test_a_name_that_ends_early_at_a_zero_byte_is_refused(room: Path, good: bytes) -> None:
    put = zipped(files_of(good), listed=False, more=lambda archive: archive.writestr("profiles/aXevil.toml", b"x"))
    assert "signs that are not shown" in refused(room, put.replace(b"aXevil", b"a\0evil"))


@pytest.mark.parametrize("other", ["profiles/A.toml", "profiles/a.toml"])
def test_the_same_name_twice_or_in_other_capitals_is_refused(room: Path, good: bytes, other: str) -> None:
    files = files_of(good) | {"profiles/a.toml": b"x = 1\n"}
    with pytest.warns(UserWarning, match="Duplicate") if other == "profiles/a.toml" else _nothing():
        twice = zipped(files, more=lambda archive: archive.writestr(other, b"y = 1\n"))
    assert "is in it twice" in refused(room, twice)


def _nothing() -> Any:
    from contextlib import nullcontext

    return nullcontext()


def test_links_and_devices_are_refused(room: Path, good: bytes) -> None:
    for mode in (0o120777, 0o020666, 0o040755, 0o010644):

        def link(archive: zipfile.ZipFile, mode: int = mode) -> None:
            info = zipfile.ZipInfo("profiles/link.toml")
            info.create_system, info.external_attr = 3, mode << 16
            archive.writestr(info, "/etc/passwd")

        assert "is no plain file" in refused(room, zipped(files_of(good), more=link))


def test_what_is_encrypted_or_packed_otherwise_is_refused(room: Path, good: bytes) -> None:
    at = good.index(b"PK\x01\x02")
    encrypted = bytearray(good)
    encrypted[at + 8] |= 1
    assert "is encrypted" in refused(room, bytes(encrypted))
    files = files_of(good)
    for how in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        packed = zipped(files, more=lambda a, how=how: a.writestr("profiles/a.toml", b"x = 1\n", compress_type=how))
        assert "packed in a way that is not read here" in refused(room, packed)


def test_what_unpacks_to_a_thousand_times_itself_is_refused(room: Path, good: bytes) -> None:
    # A stream that claims little and gives much, and one that says what it gives.
    assert "which no file of ours does" in refused(room, zipped(files_of(good) | {"profiles/a.toml": b"0" * 5_000_000}))
    plain = zipped(files_of(good) | {"profiles/a.toml": b"1" * 400_000})
    lied = plain.replace(struct.pack("<L", 400_000), struct.pack("<L", 40))
    assert lied != plain
    assert "profiles/a.toml" in refused(room, lied)


def test_files_that_lie_over_each_other_are_refused(room: Path, good: bytes) -> None:
    # One packed file under two names: the second's line in the directory points at the first's place.
    files = {**files_of(good), "profiles/a.toml": b"x = 1\n", "profiles/b.toml": b"x = 1\n"}
    put = bytearray(zipped(files))
    with zipfile.ZipFile(io.BytesIO(bytes(put))) as archive:
        first, second = archive.getinfo("profiles/a.toml"), archive.getinfo("profiles/b.toml")
    line = bytes(put).index(b"profiles/b.toml", bytes(put).index(b"PK\x01\x02")) - 46
    put[line + 42 : line + 46] = struct.pack("<L", first.header_offset)
    assert "lies over another file" in refused(room, bytes(put))
    # A first file that is said to reach over the second.
    put = bytearray(zipped(files))
    line = bytes(put).index(b"profiles/a.toml", bytes(put).index(b"PK\x01\x02")) - 46
    put[line + 20 : line + 24] = struct.pack("<L", second.header_offset - first.header_offset + 40)
    assert "lies over another file" in refused(room, bytes(put))


def test_what_stands_before_and_behind_and_what_is_no_zip_is_refused(room: Path, good: bytes) -> None:
    for contents in (b"", b"PK", b"x" * 100, good + b"x", good[:-1], b"MZ" + good, good + good):
        refused(room, contents)
    with_comment = io.BytesIO(good)
    with zipfile.ZipFile(with_comment, "a") as archive:
        archive.comment = b"hello"
    assert "more follows its end" in refused(room, with_comment.getvalue())


def test_zip64_and_more_files_than_any_bundle_has_are_refused(room: Path, good: bytes) -> None:
    many = zipped({f"profiles/p{n}.toml": b"" for n in range(MOST_FILES + 1)} | files_of(good))
    assert f"expected at most {MOST_FILES}" in refused(room, many)
    end = len(good) - 22
    large = good[:end] + b"PK\x06\x07" + bytes(16) + good[end:]
    assert "Zip64" in refused(room, large)
    full = bytearray(good)
    full[end + 8 : end + 12] = b"\xff\xff\xff\xff"
    assert "Zip64" in refused(room, bytes(full))


def test_a_directory_that_lies_about_its_length_is_refused_before_it_is_read(room: Path, good: bytes) -> None:
    end = len(good) - 22
    put = bytearray(good)
    put[end + 12 : end + 16] = struct.pack("<L", 0x7FFFFFFF)
    assert "far longer than its files need" in refused(room, bytes(put))


def test_cut_anywhere_it_is_refused(room: Path, good: bytes) -> None:
    for length in range(0, len(good), max(1, len(good) // 25)):
        refused(room, good[:length])


def test_with_any_byte_damaged_it_is_refused_or_means_the_same(room: Path, good: bytes) -> None:
    chance = random.Random(7)
    whole = files_of(good)
    survived = 0
    for _ in range(60):
        damaged = bytearray(good)
        damaged[chance.randrange(len(good))] ^= 1 << chance.randrange(8)
        path = room / "b.zip"
        path.write_bytes(bytes(damaged))
        try:
            with incoming(path, room) as coming:
                survived += 1
                for place in ("attachments/", "lines/", "profiles/"):
                    assert all(coming.read(name) == whole[name] for name in coming.names(place))
        except BundleProblem:
            continue
    assert survived < 15  # dates and attributes in the headers


def _manifest(change: Callable[[dict[str, Any]], object]) -> Callable[[Files], Files]:
    def changed(files: Files) -> Files:
        manifest = json.loads(files["manifest.json"])
        change(manifest)
        return files | {"manifest.json": json.dumps(manifest).encode()}

    return changed


_ABSENT = {"name": "profiles/x.toml", "bytes": 1, "sha256": "0" * 64}


def _without(files: Files, name: str) -> Files:
    return {one: each for one, each in files.items() if one != name}


def _file(manifest: dict[str, Any], name: str) -> dict[str, Any]:
    return next(one for one in manifest["files"] if one["name"] == name)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_manifest(lambda m: m.update(schema=2)), "schema 2 is newer than this program"),
        (_manifest(lambda m: m.update(schema=True)), "schema"),
        (_manifest(lambda m: m.update(what="a poem")), "what: expected 'bundle of a job'"),
        (_manifest(lambda m: m.update(head="f" * 64)), "names another record"),
        (_manifest(lambda m: m.update(entries=3)), "names another record"),
        (_manifest(lambda m: m.update(entries="3")), "entries: expected a whole number"),
        (_manifest(lambda m: m.update(job="TP-0108")), "names another record"),
        (_manifest(lambda m: m.update(job="../../x")), "expected letters, digits"),
        (_manifest(lambda m: m.update(job="CON")), "the name of a device"),
        (_manifest(lambda m: m.update(files={})), "files: expected a list"),
        (_manifest(lambda m: m["files"].remove(_file(m, _PROFILE))), "is not named in manifest.json"),
        (_manifest(lambda m: m["files"].append(m["files"][0])), "is named twice"),
        (_manifest(lambda m: m["files"].append(_ABSENT)), "missing"),
        (_manifest(lambda m: _file(m, _PROFILE).update(bytes=5)), "manifest.json says 5"),
        (_manifest(lambda m: _file(m, _PROFILE).update(bytes=10**14)), "expected at most"),
        (_manifest(lambda m: _file(m, _PROFILE).update(bytes=-1)), "expected from 0"),
        (_manifest(lambda m: _file(m, _PROFILE).update(sha256="0" * 64)), "is not what its hash"),
        (lambda files: files | {"manifest.json": b"[" * 100_000}, "lists and objects in each other"),
        (lambda files: files | {"manifest.json": b'{"a": 1, "a": 2}'}, "the key 'a' twice"),
        (lambda files: files | {"manifest.json": b'{"a": NaN}'}, "holds NaN"),
        (lambda files: files | {"manifest.json": b"[]"}, "expected an object"),
        (lambda files: files | {"manifest.json": b"\xff\xfe"}, "is no UTF-8 text"),
        (lambda files: _without(files, "manifest.json"), "manifest.json is missing"),
        (lambda files: _without(files, "record.json"), "record.json: is named in"),
    ],
)  # fmt: skip
def test_a_manifest_that_lies_is_refused(room: Path, good: bytes, change: Callable[[Files], Files], told: str) -> None:
    assert told in refused(room, zipped(change(files_of(good)), listed=False))


def test_pictures_and_lines_that_no_entry_names_are_refused(room: Path, good: bytes) -> None:
    contents = b"another"
    name = f"attachments/{hashlib.sha256(contents).hexdigest()}.png"
    assert "no entry of the record names it" in refused(room, zipped(files_of(good) | {name: contents}))
    assert "no entry of the record names it" in refused(
        room, zipped(files_of(good) | {"lines/primary-20260301T093000-1.jsonl": contents})
    )
    files = files_of(good)
    picture = next(name for name in files if name.startswith("attachments/"))
    assert "no entry of the record names it" in refused(room, zipped(files | {picture: contents}))


@pytest.mark.parametrize(
    ("suffix", "contents", "told"),
    [
        (".html", b"<html><script>alert(1)</script>", "a browser could run what is in it"),
        (".htm", POLICY + b"<title>x</title><meta http-equiv=refresh content='0;http://x'>", "a browser could run"),
        (".html", POLICY + b"< SCRIPT src=//x></script>", "a browser could run what is in it"),
        (".svg", b"<svg onload=alert(1)>", "more than a drawing in it"),
        (".svg", b"<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><svg>&a;</svg>", "more than a drawing in it"),
        (".exe", b"MZ", "may run when it is opened"),
        (".hta", b"x", "may run when it is opened"),
    ],
)
def test_what_a_browser_or_a_click_would_run_is_refused(
    room: Path, good: bytes, suffix: str, contents: bytes, told: str
) -> None:
    assert told in refused(room, _with_attached(good, suffix, contents))


def test_a_certificate_a_drawing_and_any_other_file_are_taken(room: Path, good: bytes) -> None:
    page = POLICY + b"<title>x</title></head><body><p>Tested.</p><svg><path d='M0 0'/></svg></body></html>"
    for suffix, contents in ((".html", page), (".svg", b"<svg><path d='M0 0'/></svg>"), (".pdf", b"%PDF-"), ("", b"?")):
        folder = room / f"of{suffix}"
        (folder / "data").mkdir(parents=True)
        assert takes(folder, _with_attached(good, suffix, contents)) > 100
        assert len(list((folder / "data" / "attachments").iterdir())) == 3


def _with_attached(good: bytes, suffix: str, contents: bytes) -> bytes:
    """One more file, and an entry that names it."""
    digest = hashlib.sha256(contents).hexdigest()
    body = {"name": f"a{suffix}", "sha256": digest, "bytes": len(contents), "file": f"{digest}{suffix}"}
    files = files_of(good)
    entries = json.loads(files["record.json"])["entries"]
    kept = chained([*((one["kind"], one["body"]) for one in entries), ("photo", body)])
    manifest = json.loads(files["manifest.json"]) | {"head": kept[-1].hash, "entries": len(kept)}
    files["manifest.json"] = json.dumps(manifest).encode()
    return zipped(files | {"record.json": document(kept), f"attachments/{digest}{suffix}": contents})


def test_pictures_that_tell_where_are_named_and_kept_to_the_bit(room: Path, good: bytes) -> None:
    telling = png()[:33] + _chunk(b"tEXt", b"GPS\x0051.5 N") + png()[33:]
    path = room / "b.zip"
    path.write_bytes(_with_attached(good, ".png", telling))
    with Store(room / "data" / "records.sqlite") as store, incoming(path, room) as coming:
        assert len(coming.telling) == 1
        with pytest.raises(BadInput, match=r"place or time at which it was taken.*nothing is taken"):
            taken(store, coming, with_location=False)
        assert store.jobs() == []
        assert taken(store, coming, with_location=True) > 100
    name = f"{hashlib.sha256(telling).hexdigest()}.png"
    assert (room / "data" / "attachments" / name).read_bytes() == telling


def test_what_tells_where_does_not_go_out_unasked(room: Path) -> None:
    telling = png()[:33] + _chunk(b"tEXt", b"GPS\x0051.5 N") + png()[33:]
    digest = hashlib.sha256(telling).hexdigest()
    with Store(room / "data" / "records.sqlite") as store:
        keep_content(attachments_folder(store.path), {"file": f"{digest}.png", "sha256": digest}, telling)
        store.append(NUMBER, Kind.PHOTO, {"name": "a", "sha256": digest, "bytes": 1, "file": f"{digest}.png"})
        with pytest.raises(BadInput, match="--with-location lets it out"):
            bundle_of(store, NUMBER, "", (), with_location=False)
        assert list(bundle_of(store, NUMBER, "", (), with_location=True).kept) == [f"attachments/{digest}.png"]


def _chunk(kind: bytes, contents: bytes) -> bytes:
    return struct.pack(">L", len(contents)) + kind + contents + struct.pack(">L", zlib.crc32(kind + contents))


def test_a_job_file_that_is_none_or_of_another_job_is_refused(room: Path, good: bytes) -> None:
    text = JOB_FILE.read_text(encoding="utf-8")
    for contents, told in (
        (b"\xff = ", "job.toml: no job file"),
        (b"a = " + b"[" * 5_000, "job.toml: no job file"),
        (text.replace("TP-0107", "TP-0108").encode(), "is not of job TP-0107"),
        (b"schema = 1\n", "is not of job TP-0107"),
    ):
        assert told in refused(room, zipped(files_of(good) | {"job.toml": contents}))


def test_a_fifo_and_a_folder_are_no_bundle(room: Path) -> None:
    import os

    os.mkfifo(room / "pipe.zip")
    (room / "folder.zip").mkdir()
    for name in ("pipe.zip", "folder.zip", "nothing.zip"):
        with pytest.raises(BundleProblem):
            Archive(room / name)

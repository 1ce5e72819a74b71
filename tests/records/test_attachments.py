"""Photographs beside the record: whole or not at all, once, and never changed without being told."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path

import pytest

from bench.records import attachments
from bench.records.attachments import AttachmentRefused, attachments_folder, keep_file, problems_of

PICTURE = b"\xff\xd8 a picture of leads"
SIZE = len(PICTURE)


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "Leads, left side.JPG"
    path.write_bytes(PICTURE)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return attachments_folder(tmp_path / "data" / "records.sqlite")


def test_a_photograph_is_kept_under_its_own_hash(photo: Path, folder: Path) -> None:
    kept = keep_file(folder, photo)
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert kept.as_body() == {
        "name": "Leads, left side.JPG", "sha256": digest, "bytes": SIZE, "file": f"{digest}.jpg",
        "location": "not looked for",
    }  # fmt: skip
    assert (folder / kept.file).read_bytes() == photo.read_bytes()
    assert [path.name for path in folder.iterdir()] == [kept.file]
    assert problems_of(folder, kept.as_body()) == []


def test_the_same_contents_are_kept_once(photo: Path, folder: Path) -> None:
    first = keep_file(folder, photo)
    before = (folder / first.file).stat()
    again = photo.rename(photo.with_name("other.jpg"))
    assert keep_file(folder, again).file == first.file
    after = (folder / first.file).stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_kept_file_is_never_written_over(photo: Path, folder: Path) -> None:
    kept = folder / keep_file(folder, photo).file
    kept.chmod(0o600)
    kept.write_bytes(b"something else")
    with pytest.raises(OSError, match="is there with other contents"):
        keep_file(folder, photo)
    assert kept.read_bytes() == b"something else"


@pytest.mark.parametrize("suffix", [".j/p", ".\n", ".waytoolongforasuffix", ""])
def test_a_suffix_that_is_none_is_left_off(tmp_path: Path, folder: Path, suffix: str) -> None:
    path = tmp_path / f"photo{suffix.replace('/', '')}"
    path.write_bytes(b"x")
    name = keep_file(folder, path).file
    assert name.partition(".")[0] == hashlib.sha256(b"x").hexdigest()
    assert len(name) <= 64 + 9


def test_what_can_t_be_attached_is_one_line(tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(attachments, "LARGEST", 10)
    (tmp_path / "empty.jpg").touch()
    (tmp_path / "large.jpg").write_bytes(b"x" * 11)
    os.mkfifo(tmp_path / "pipe.jpg")
    for name, told in (
        ("none.jpg", "no such file"),
        ("empty.jpg", "is empty"),
        ("large.jpg", "expected at most"),
        (".", "is no plain file"),
        ("pipe.jpg", "is no plain file"),
    ):
        with pytest.raises(AttachmentRefused, match=told) as problem:
            keep_file(folder, tmp_path / name)
        assert "\n" not in str(problem.value)
    assert not folder.exists() or list(folder.iterdir()) == []


def test_a_file_that_grows_past_the_limit_while_it_is_read_is_refused(
    photo: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(attachments, "LARGEST", SIZE)
    opened = attachments._opened

    def grown_meanwhile(path: Path) -> int:
        handle = opened(path)
        with photo.open("ab") as file:
            file.write(b" and more")
        return handle

    monkeypatch.setattr(attachments, "_opened", grown_meanwhile)
    with pytest.raises(AttachmentRefused, match="more than"):
        keep_file(folder, photo)
    assert not folder.exists()


def test_a_full_disk_leaves_nothing_half_written(photo: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(attachments.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        keep_file(folder, photo)
    assert list(folder.iterdir()) == []


def test_a_file_system_without_links_keeps_it_too(photo: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(errno.EPERM, "no links here")

    monkeypatch.setattr(attachments.os, "link", refused)
    kept = keep_file(folder, photo)
    assert keep_file(folder, photo) == kept
    assert [path.name for path in folder.iterdir()] == [kept.file]


def test_what_happened_to_a_kept_file_is_told(photo: Path, folder: Path) -> None:
    body = keep_file(folder, photo).as_body()
    kept = folder / str(body["file"])
    kept.chmod(0o600)
    kept.write_bytes(b"retouched")
    assert problems_of(folder, body) == [f"Leads, left side.JPG ({kept}): was altered"]
    kept.unlink()
    assert problems_of(folder, body) == [f"Leads, left side.JPG ({kept}): is missing"]


@pytest.mark.parametrize("name", ["../records.sqlite", "/etc/hostname", "a/b"])
def test_an_entry_that_names_a_file_elsewhere_is_not_followed(folder: Path, name: str) -> None:
    (line,) = problems_of(folder, {"name": "x", "file": name, "sha256": ""})
    assert "names no file of the attachments" in line


def test_an_altered_entry_without_its_fields_is_told_and_no_trace(folder: Path) -> None:
    assert len(problems_of(folder, {})) == 1

"""A ZIP file from elsewhere: all of it is looked at before a byte is unpacked, and nothing is unpacked by its name."""

from __future__ import annotations

import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from bench.records.exchange.limits import LARGEST_BUNDLE, MOST_FILES, MOST_TIMES
from bench.records.exchange.names import ATTACHMENTS, LINES, PROFILES, name_problem

__all__ = ["Archive", "BundleProblem"]

_END = struct.Struct("<4s4H2LH")
_END_SIGN, _LARGE_SIGN, _LOCAL_SIGN = b"PK\x05\x06", b"PK\x06\x07", b"PK\x03\x04"
_LARGE_SIZE = 20
_LOCAL = struct.Struct("<4s5H3L2H")
_OF_A_NAME = 600
"""Bytes of a file's line in the directory, at most: ours have 120."""
_ENCRYPTED, _MASKED = 0x1 | 0x40, 0x2000
_CHUNK = 1 << 18
_SLACK = 1_000
"""Bytes that may be unpacked from next to nothing."""


class BundleProblem(ValueError):
    """The bundle can't be used; one line: where in it, what, expected."""


class Archive:
    """Files of a bundle by name.  Raises BundleProblem for whatever a bundle of ours, zipped anew or not, is not.

    Refused are names that are no places of a bundle, the same name twice or in other capitals, links, encryption, other
    packing than STORE and DEFLATE, files that lie over each other, sizes and counts beyond `limits`, Zip64, which no
    bundle needs within them, and anything before the first file and behind the end.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file: IO[bytes] = _opened(path)
        try:
            with self._told():
                self._zip = zipfile.ZipFile(self._checked_end())
                self._infos = self._checked()
        except BaseException:
            self._file.close()
            raise

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self._infos)

    def size(self, name: str) -> int:
        """Bytes, as the archive says; what is read is never more."""
        return self._infos[name].file_size

    def chunks(self, name: str) -> Iterator[bytes]:
        """Contents of a file, piece by piece."""
        info = self._infos[name]
        left = info.file_size
        with self._told(name), self._zip.open(info) as file:
            while data := file.read(_CHUNK):
                left -= len(data)
                if left < 0:
                    raise BundleProblem(f"{name}: is longer than it says")
                yield data
            if left:
                raise BundleProblem(f"{name}: is shorter than it says")

    def read(self, name: str, most: int) -> bytes:
        """Contents of a small file."""
        if self.size(name) > most:
            raise BundleProblem(f"{name}: {self.size(name)} bytes, expected at most {most}")
        return b"".join(self.chunks(name))

    def close(self) -> None:
        self._zip.close()
        self._file.close()

    def __enter__(self) -> Archive:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _told(self, name: str = "") -> Iterator[None]:
        """Whatever a damaged archive makes the library raise, in one line."""
        where = f"{name}: " if name else ""
        try:
            yield
        except (zipfile.BadZipFile, zlib.error, EOFError, struct.error) as problem:
            raise BundleProblem(f"{where}is damaged: {_one_line(problem)}") from None
        except (NotImplementedError, RuntimeError, OverflowError, UnicodeError) as problem:
            raise BundleProblem(f"{where}can't be unpacked: {_one_line(problem)}") from None
        except OSError as problem:
            raise BundleProblem(f"{where}can't be read: {problem.strerror or _one_line(problem)}") from None

    def _checked_end(self) -> IO[bytes]:
        """The end of the file tells how long the directory is: looked at before it is read."""
        size = os.fstat(self._file.fileno()).st_size
        if size > LARGEST_BUNDLE:
            raise BundleProblem(f"{size / 1e6:.0f} MB, expected at most {LARGEST_BUNDLE / 1e6:.0f} MB")
        if size < _END.size:
            raise BundleProblem("is no ZIP file, expected a bundle as `record export` writes it")
        self._file.seek(max(0, size - _END.size - _LARGE_SIZE))
        tail = self._file.read()
        sign, disk, disk_of, here, files, length, start, comment = _END.unpack(tail[-_END.size :])
        if sign != _END_SIGN or comment:
            raise BundleProblem("is no ZIP file, or cut, or more follows its end, expected a bundle as it was written")
        if tail.startswith(_LARGE_SIGN) or 0xFFFF in (here, files) or 0xFFFFFFFF in (length, start):
            raise BundleProblem("is of the form Zip64, which no bundle needs")
        if disk or disk_of or here != files:
            raise BundleProblem("is a part of several, expected a bundle in one file")
        if files > MOST_FILES:
            raise BundleProblem(f"holds {files} files, expected at most {MOST_FILES}")
        if length > files * _OF_A_NAME:
            raise BundleProblem("has a directory far longer than its files need")
        if start + length != size - _END.size:
            raise BundleProblem("holds more than its directory names")
        self._directory = start
        self._file.seek(0)
        return self._file

    def _checked(self) -> dict[str, zipfile.ZipInfo]:
        found: dict[str, zipfile.ZipInfo] = {}
        folded: set[str] = set()
        total = 0
        for info in self._zip.infolist():
            shown = _one_line(info.orig_filename)[:100]
            if problem := _info_problem(info):
                raise BundleProblem(f"{shown!r}: {problem}")
            if info.filename.casefold() in folded:
                raise BundleProblem(f"{shown!r}: is in it twice")
            folded.add(info.filename.casefold())
            total += info.file_size
            if not info.filename.endswith("/"):
                found[info.filename] = info
        if total > LARGEST_BUNDLE:
            raise BundleProblem(f"{total / 1e6:.0f} MB once unpacked, expected at most {LARGEST_BUNDLE / 1e6:.0f} MB")
        self._apart()
        return found

    def _apart(self) -> None:
        """Each file has its own place: packed bytes that serve several names are how small archives grow large."""
        infos = sorted(self._zip.infolist(), key=lambda one: one.header_offset)
        ends = [one.header_offset for one in infos[1:]] + [self._directory]
        for info, end in zip(infos, ends, strict=True):
            self._file.seek(info.header_offset)
            sign, *_, name, extra = _LOCAL.unpack(self._file.read(_LOCAL.size))
            own = self._file.read(name)
            if sign != _LOCAL_SIGN or own != info.orig_filename.encode("ascii", "replace"):
                raise BundleProblem(f"{info.filename!r}: its place in the file has another name")
            if info.header_offset + _LOCAL.size + name + extra + info.compress_size > end:
                raise BundleProblem(f"{info.filename!r}: lies over another file")


def _info_problem(info: zipfile.ZipInfo) -> str:
    folder = info.orig_filename.endswith("/")
    name = info.orig_filename
    if folder and (name in (ATTACHMENTS, LINES, PROFILES) or _is_profile_folder(name)):
        return "is a folder with something in it" if info.file_size else ""
    if problem := name_problem(name):
        return problem
    if info.filename != name:
        return "has two names"
    mode = info.external_attr >> 16
    if mode and stat.S_IFMT(mode) not in (0, stat.S_IFREG):
        return "is no plain file"
    if info.flag_bits & (_ENCRYPTED | _MASKED):
        return "is encrypted"
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return "is packed in a way that is not read here, expected DEFLATE or STORE"
    if info.compress_type == zipfile.ZIP_STORED and info.file_size != info.compress_size:
        return "is stored, and has two sizes"
    if info.file_size > MOST_TIMES * info.compress_size + _SLACK:
        return f"unpacks to {info.file_size} bytes from {info.compress_size}, which no file of ours does"
    return ""


def _is_profile_folder(name: str) -> bool:
    return name.startswith(PROFILES) and not name_problem(f"{name}a.toml")


def _opened(path: Path) -> IO[bytes]:
    """A plain file; never waits for whoever writes to a pipe."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except OSError as problem:
        raise BundleProblem(f"can't be read: {problem.strerror}") from None
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise BundleProblem("is no plain file, expected a bundle as `record export` writes it")
    return os.fdopen(handle, "rb")


def _one_line(words: Any) -> str:
    return " ".join("".join(c if c.isprintable() else "?" for c in str(words)).split())

"""What is said of the pictures of a job, and what a file says of itself before it is opened."""

from __future__ import annotations

import io
import struct
from typing import Any

import pytest
from PIL import Image

from bench.records.entry import Entry, Kind
from bench.records.picture_header import MOST_PIXELS, header_of
from bench.records.pictures import KeptPicture, pictures_of


def _entry(seq: int, kind: Kind, body: dict[str, Any]) -> Entry:
    return Entry("TP-1", seq, str(kind), "2026-03-04T10:11:12+00:00", 0.0, body, "", "")


def _made(form: str, size: tuple[int, int] = (37, 21), **how: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (200, 20, 20)).save(out, form, **how)
    return out.getvalue()


def test_the_newest_word_on_a_picture_counts() -> None:
    said = pictures_of(
        [
            _entry(1, Kind.PHOTO, {"name": "picture 1.jpg", "winding": "ht", "caption": "leads"}),
            _entry(2, Kind.NOTE, {"text": "no picture"}),
            _entry(3, Kind.PHOTO, {"name": "picture 2.jpg", "stage": "restack", "on_certificate": True}),
            _entry(4, Kind.PICTURE, {"of": 1, "on_certificate": True}),
            _entry(5, Kind.PICTURE, {"of": 3, "caption": "stacked"}),
            _entry(6, Kind.PICTURE, {"of": 1, "on_certificate": False}),
            _entry(7, Kind.PICTURE, {"of": 2, "on_certificate": True}),
            _entry(8, Kind.PICTURE, {"of": 1, "on_certificate": True, "caption": "lead dress"}),
        ]
    )
    at = "2026-03-04T10:11:12+00:00"
    assert said == (
        KeptPicture(1, at, "ht", "lead dress", True, {}),
        KeptPicture(3, at, "restack", "stacked", True, {}),
    )
    assert said[0].words == "lead dress; of ht; kept 2026-03-04"


@pytest.mark.parametrize(
    ("form", "name", "how"),
    [
        ("JPEG", "jpg", {}), ("JPEG", "jpg", {"progressive": True}), ("PNG", "png", {}), ("GIF", "gif", {}),
        ("WEBP", "webp", {}), ("WEBP", "webp", {"lossless": True}),
        ("WEBP", "webp", {"exif": b"Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x00\x00\x00\x00\x00"}),
    ],
)  # fmt: skip
def test_form_and_size_are_those_that_another_library_wrote(form: str, name: str, how: dict[str, Any]) -> None:
    header = header_of(_made(form, **how))
    assert (header.form, header.width, header.height, header.problem) == (name, 37, 21, "")


def test_a_jpeg_with_a_small_copy_in_front_has_its_own_size() -> None:
    small = _made("JPEG", (16, 12))
    data = _made("JPEG")
    app1 = b"\xff\xe1" + struct.pack(">H", len(small) + 2) + small
    assert (header_of(data[:2] + app1 + data[2:]).width, header_of(data[:2] + app1 + data[2:]).height) == (37, 21)


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "is no picture that can be shown"),
        (b"hello, world", "is no picture that can be shown"),
        (b"\x00\x00\x00\x18ftypheic" + b"\x00" * 20, "is HEIC, which can't be shown"),
        (b"%PDF-1.7", "is PDF, which can't be shown"),
        (b"\xff\xd8\xff\xe0", "is damaged"),
        (b"\x89PNG\r\n\x1a\n\x00", "is damaged"),
        (b"RIFF\x00\x00\x00\x00WEBPVP8 ", "is damaged"),
    ],
)
def test_what_can_t_be_shown_says_why(data: bytes, problem: str) -> None:
    assert header_of(data).problem == problem


def test_a_picture_that_claims_too_much_is_not_opened() -> None:
    data = bytearray(_made("PNG"))
    data[16:24] = struct.pack(">II", 60_000, 60_000)
    assert MOST_PIXELS < 60_000 * 60_000
    assert "60000 x 60000 pixels, which is too many" in header_of(bytes(data)).problem


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "GIF"])
def test_no_cut_of_a_file_is_more_than_damaged(form: str) -> None:
    data = _made(form)
    for end in range(len(data)):
        header_of(data[:end])  # raises nothing

"""A photograph keeps what is seen and which way up; place, time and small copies go. Made and read by Pillow."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image, PngImagePlugin

from bench.records.attachments import attachments_folder, keep_file
from bench.records.without_location import without_location

PLACE = b"Harbour lane 4"
LATITUDE, LONGITUDE = (54.0, 19.0, 7.25), (10.0, 8.0, 31.5)


def _picture() -> Image.Image:
    picture = Image.new("RGB", (64, 48))
    picture.putdata([(x * 4 % 256, y * 5 % 256, (x * y) % 256) for y in range(48) for x in range(64)])
    return picture


def _exif(turned: int = 6) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = turned
    exif[ExifTags.Base.ImageDescription] = PLACE.decode()
    exif[ExifTags.Base.DateTime] = "2026:03:02 10:11:12"
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", LATITUDE
    gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude] = "E", LONGITUDE
    return exif


def _saved(form: str, **how: object) -> bytes:
    out = io.BytesIO()
    _picture().save(out, form, exif=_exif(), **how)
    return out.getvalue()


def _jpeg(*, progressive: bool = False) -> bytes:
    xmp = b"<x:xmpmeta><exif:GPSLatitude>54,19.1N</exif:GPSLatitude>" + PLACE + b"</x:xmpmeta>"
    return _saved("JPEG", quality=88, progressive=progressive, xmp=xmp, comment=PLACE, icc_profile=b"colours " * 9)


def _png() -> bytes:
    told = PngImagePlugin.PngInfo()
    told.add_text("Location", PLACE.decode())
    told.add_itxt("XML:com.adobe.xmp", PLACE.decode(), zip=True)
    return _saved("PNG", pnginfo=told)


def _webp() -> bytes:
    return _saved("WEBP", lossless=True, xmp=PLACE)


PICTURES = {
    "jpeg": _jpeg(),
    "progressive jpeg": _jpeg(progressive=True),
    "jpeg with a film behind it": _jpeg() + b"\x00\x00\x00\x18ftypmp42" + PLACE,
    "png": _png(),
    "png with more behind it": _png() + PLACE,
    "webp": _webp(),
}


@pytest.mark.parametrize("name", PICTURES)
def test_place_and_time_are_gone_and_what_is_seen_is_the_same(name: str) -> None:
    before = PICTURES[name]
    assert Image.open(io.BytesIO(before)).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    after = without_location(before)
    assert after is not None
    assert PLACE not in after
    seen = Image.open(io.BytesIO(after))
    assert not seen.getexif().get_ifd(ExifTags.IFD.GPSInfo)
    assert ExifTags.Base.DateTime not in seen.getexif()
    assert seen.tobytes() == Image.open(io.BytesIO(before)).tobytes()
    assert without_location(after) == after


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("turned", range(1, 9))
def test_which_way_up_it_is_to_be_shown_stays(turned: int, form: str) -> None:
    out = io.BytesIO()
    _picture().save(out, form, exif=_exif(turned))
    after = without_location(out.getvalue())
    assert after is not None
    assert Image.open(io.BytesIO(after)).getexif().get(ExifTags.Base.Orientation, 1) == turned


def test_what_makers_put_into_other_parts_goes_too() -> None:
    def segment(marker: int) -> bytes:
        return bytes((0xFF, marker)) + struct.pack(">H", len(PLACE) + 2) + PLACE

    jpeg = PICTURES["jpeg"]
    stuffed = jpeg[:2] + b"".join(segment(0xE0 + number) for number in (3, 6, 11, 15)) + jpeg[2:]
    box = b"caBX" + PLACE
    png = PICTURES["png"]
    end = png.index(b"IEND") - 4
    boxed = png[:end] + struct.pack(">I", len(PLACE)) + box + struct.pack(">I", zlib.crc32(box)) + png[end:]
    for before in (stuffed, boxed):
        after = without_location(before)
        assert after is not None
        assert PLACE not in after
        assert Image.open(io.BytesIO(after)).tobytes() == Image.open(io.BytesIO(before)).tobytes()


def test_colours_stay_as_they_are_meant() -> None:
    after = without_location(PICTURES["jpeg"])
    assert after is not None
    assert Image.open(io.BytesIO(after)).info["icc_profile"] == b"colours " * 9


@given(st.sampled_from(sorted(PICTURES)), st.data())
def test_a_damaged_one_is_never_an_error(name: str, data: st.DataObject) -> None:
    """Cut anywhere, or with bytes changed: never an error."""
    whole = PICTURES[name]
    cut = whole[: data.draw(st.integers(0, len(whole)), label="cut at")]
    damaged = bytearray(cut)
    for place in data.draw(st.lists(st.integers(0, max(0, len(cut) - 1)), max_size=3), label="changed at"):
        if damaged:
            damaged[place] ^= data.draw(st.integers(1, 255))
    after = without_location(bytes(damaged))
    assert after is None or len(after) <= len(damaged) + 40


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xd8", b"\xff\xd8 no picture", b"%PDF-1.7", b"RIFF\x04\x00\x00\x00WEBP", b"x" * 99]
)
def test_of_what_is_no_picture_nothing_is_said(data: bytes) -> None:
    assert without_location(data) in (None, data)


def test_a_kept_photograph_has_no_place_and_its_hash_is_of_what_is_kept(tmp_path: Path) -> None:
    photo = tmp_path / "leads.jpg"
    photo.write_bytes(PICTURES["jpeg"])
    folder = attachments_folder(tmp_path / "data" / "records.sqlite")
    body = keep_file(folder, photo).as_body()
    kept = (folder / body["file"]).read_bytes()
    assert body["location"] == "taken out"
    assert (len(kept), PLACE in kept) == (body["bytes"], False)
    assert photo.read_bytes() == PICTURES["jpeg"]

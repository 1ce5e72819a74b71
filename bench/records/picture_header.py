"""What a file says of itself before anything of it is opened: which form of picture, and how many pixels.

By the formats' own documents: JPEG (ITU-T T.81, annex B), PNG (ISO/IEC 15948), WebP (RFC 9649), GIF 89a; the brands of
HEIC and AVIF by ISO/IEC 14496-12 and 23008-12 (from memory).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

__all__ = ["MOST_PIXELS", "Header", "header_of"]

MOST_PIXELS = 120_000_000
"""A picture that claims more is not opened: it would take the memory of everything else."""

_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset(range(0xD0, 0xDA)) | {0x01}
_OTHERS = {b"BM": "BMP", b"II*\x00": "TIFF", b"MM\x00*": "TIFF", b"%PDF": "PDF"}
_HEIF = {b"heic": "HEIC", b"heix": "HEIC", b"mif1": "HEIC", b"msf1": "HEIC", b"avif": "AVIF"}


@dataclass(frozen=True)
class Header:
    """form: jpg, png, webp or gif where paper can hold it, else what it is in capitals, or empty;  width, height [px],
    0 where they can't be found."""

    form: str
    width: int = 0
    height: int = 0

    @property
    def problem(self) -> str:
        """Why it can't be shown, empty where it may be tried."""
        if not self.form:
            return "is no picture that can be shown"
        if self.form.isupper():
            return f"is {self.form}, which can't be shown"
        if self.width <= 0 or self.height <= 0:
            return "is damaged"
        if self.width * self.height > MOST_PIXELS:
            return f"has {self.width} x {self.height} pixels, which is too many to be opened"
        return ""


def header_of(data: bytes) -> Header:
    """Of any bytes; opens nothing."""
    try:
        if data.startswith(b"\xff\xd8"):
            return Header("jpg", *_jpeg(data))
        if data.startswith(b"\x89PNG\r\n\x1a\n"):
            return Header("png", *struct.unpack_from(">II", data, 16))
        if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
            return Header("webp", *_webp(data))
        if data[:6] in (b"GIF87a", b"GIF89a"):
            return Header("gif", *struct.unpack_from("<HH", data, 6))
    except (struct.error, IndexError):
        return Header({b"\xff\xd8": "jpg", b"\x89P": "png", b"RI": "webp"}.get(data[:2], "gif"))
    if data[4:8] == b"ftyp":
        return Header(_HEIF.get(data[8:12], "FILM"))
    return Header(next((form for begin, form in _OTHERS.items() if data.startswith(begin)), ""))


def _jpeg(data: bytes) -> tuple[int, int]:
    """Of the first frame."""
    at = 2
    while data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
        elif marker in _ALONE:
            at += 2
        elif marker in _FRAMES:
            height, width = struct.unpack_from(">HH", data, at + 5)
            return width, height
        else:
            at += 2 + struct.unpack_from(">H", data, at + 2)[0]
    return 0, 0


def _webp(data: bytes) -> tuple[int, int]:
    match data[12:16]:
        case b"VP8X":
            return 1 + int.from_bytes(data[24:27], "little"), 1 + int.from_bytes(data[27:30], "little")
        case b"VP8L":
            (bits,) = struct.unpack_from("<I", data, 21)
            return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
        case b"VP8 ":
            width, height = struct.unpack_from("<HH", data, 26)
            return width & 0x3FFF, height & 0x3FFF
    return 0, 0

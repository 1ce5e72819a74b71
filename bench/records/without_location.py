"""A photograph without what its camera wrote beside it: where and when it was taken, by which phone, small copies.

What is seen stays bit for bit, and so does which way up it is to be shown.  By the formats' own documents: JPEG
(ITU-T T.81, annex B), Exif 2.3 (CIPA DC-008), PNG (ISO/IEC 15948), WebP (RFC 9649).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

__all__ = ["without_location"]

_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
_APP0, _APP1, _APP2, _APP14, _APP15, _COM = 0xE0, 0xE1, 0xE2, 0xEE, 0xEF, 0xFE
_EXIF = b"Exif\x00\x00"
_ORIENTATION = 0x0112
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = tuple(b"IHDR PLTE IDAT IEND cHRM gAMA sRGB iCCP cICP sBIT tRNS bKGD pHYs acTL fcTL fdAT".split())
_WEBP_KEPT = (b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP", b"ANIM", b"ANMF")
"""What is seen, and its colours; nothing else is kept, since makers put anything into the rest."""
_WEBP_EXIF = 0x08
_WEBP_FLAGS = _WEBP_EXIF | 0x04
"""Of VP8X: that there is Exif, that there is XMP."""


def without_location(data: bytes) -> bytes | None:
    """The same picture; None for what is no JPEG, PNG or WebP, or is damaged, of which nothing can be said."""
    try:
        if data.startswith(b"\xff\xd8"):
            return _jpeg(data)
        if data.startswith(_PNG):
            return _png(data)
        if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
            return _webp(data)
    except (struct.error, IndexError, ValueError):
        return None
    return None


# -- JPEG ------------------------------------------------------------------------------------------------------------


def _jpeg(data: bytes) -> bytes:
    """Up to the end of the image: phones hang films and small copies behind it, which tell the same."""
    kept = [b"\xff\xd8"]
    turned = 1
    at = 2
    while True:
        if data[at] != 0xFF:
            raise ValueError("no marker where one is due")
        while data[at] == 0xFF:  # fill bytes
            at += 1
        marker = data[at]
        at += 1
        if marker == _EOI:
            break
        (length,) = struct.unpack_from(">H", data, at)
        body = data[at + 2 : at + length]
        if length < 2 or len(body) != length - 2:
            raise ValueError("a segment is cut")
        if marker == _APP1 and body.startswith(_EXIF):
            turned = _orientation(body[len(_EXIF) :])
        if not _tells(marker, body):
            kept.append(bytes((0xFF, marker)) + data[at : at + length])
        at += length
        if marker == _SOS:
            end = _end_of_scan(data, at)
            kept.append(data[at:end])
            at = end
    if turned != 1:
        kept.insert(1, _exif_of(turned))
    return b"".join(kept) + b"\xff\xd9"


def _tells(marker: int, body: bytes) -> bool:
    """Whether a segment holds anything but the picture and its colours."""
    if marker == _APP2:
        return not body.startswith(b"ICC_PROFILE\x00")
    return marker == _COM or (_APP0 < marker <= _APP15 and marker != _APP14)


def _end_of_scan(data: bytes, at: int) -> int:
    """The next marker that is neither a stuffed byte nor a restart."""
    while True:
        at = data.index(b"\xff", at)
        following = data[at + 1]
        if following != 0x00 and following != 0xFF and not 0xD0 <= following <= 0xD7:
            return at
        at += 1 if following == 0xFF else 2


def _orientation(tiff: bytes) -> int:
    """1 to 8; 1, as it lies, where nothing is said."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 1
    try:
        (first,) = struct.unpack_from(order + "I", tiff, 4)
        (entries,) = struct.unpack_from(order + "H", tiff, first)
        for number in range(entries):
            tag, _, _, value = struct.unpack_from(order + "HHIH", tiff, first + 2 + 12 * number)
            if tag == _ORIENTATION and 1 <= value <= 8:
                return int(value)
    except struct.error:
        return 1
    return 1


def _tiff_of(turned: int) -> bytes:
    """What says which way up, and nothing else."""
    tiff = b"MM\x00\x2a" + struct.pack(">I", 8) + struct.pack(">H", 1)
    return tiff + struct.pack(">HHIHH", _ORIENTATION, 3, 1, turned, 0) + struct.pack(">I", 0)


def _exif_of(turned: int) -> bytes:
    """The same as a segment."""
    body = _EXIF + _tiff_of(turned)
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


# -- PNG and WebP ----------------------------------------------------------------------------------------------------


def _png(data: bytes) -> bytes:
    kept, at, turned = [_PNG], len(_PNG), 1
    while True:
        (length,) = struct.unpack_from(">I", data, at)
        kind, whole = data[at + 4 : at + 8], data[at : at + 12 + length]
        if len(whole) != 12 + length:
            raise ValueError("a chunk is cut")
        if kind == b"eXIf":
            turned = _orientation(whole[8:-4])
        if kind == b"IEND" and turned != 1:
            told = b"eXIf" + _tiff_of(turned)
            kept.append(struct.pack(">I", len(told) - 4) + told + struct.pack(">I", zlib.crc32(told)))
        if kind in _PNG_KEPT:
            kept.append(whole)
        at += 12 + length
        if kind == b"IEND":
            return b"".join(kept)


def _webp(data: bytes) -> bytes:
    chunks = list(_riff(data))
    exif = next((body for kind, body in chunks if kind == b"EXIF"), b"")
    turned = _orientation(exif.removeprefix(_EXIF))
    kept = []
    for kind, body in chunks:
        if kind == b"VP8X":
            body = bytes((body[0] & ~_WEBP_FLAGS | (_WEBP_EXIF if turned != 1 else 0),)) + body[1:]
        if kind in _WEBP_KEPT:
            kept.append(_chunk(kind, body))
    if turned != 1:
        kept.append(_chunk(b"EXIF", _tiff_of(turned)))
    whole = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole


def _chunk(kind: bytes, body: bytes) -> bytes:
    return kind + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)


def _riff(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    (size,) = struct.unpack_from("<I", data, 4)
    end, at = min(8 + size, len(data)), 12
    while at < end:
        (length,) = struct.unpack_from("<I", data, at + 4)
        body = data[at + 8 : at + 8 + length]
        if len(body) != length:
            raise ValueError("a chunk is cut")
        yield data[at : at + 4], body
        at += 8 + length + length % 2

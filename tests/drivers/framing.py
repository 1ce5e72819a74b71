"""Framed lines as a board would send them; the check sum is worked out bit by bit, apart from the driver's."""

from __future__ import annotations


def crc_bitwise(data: bytes) -> int:
    """CRC-16, polynomial 0x1021, start 0xFFFF, not reflected."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte << 8
        for _ in range(8):
            crc = ((crc << 1) ^ 0x1021) & 0xFFFF if crc & 0x8000 else (crc << 1) & 0xFFFF
    return crc


def framed(text: str) -> bytes:
    body = text.encode("ascii")
    return body + b" %04X\n" % crc_bitwise(body)


def hall(boot: int, line: int, ms: int, edges: int, per: int = 4) -> bytes:
    return framed(f"hall 1 {boot} {line} {ms} {edges} {per}")


def hello(boot: int, sensors: int = 2, magnets: int = 2) -> bytes:
    return framed(f"hall hello 0.1 sensors={sensors} magnets={magnets} boot={boot}")


def letters(number: int) -> str:
    """A number written in letters."""
    return "".join(chr(ord("a") + int(digit)) for digit in str(number))

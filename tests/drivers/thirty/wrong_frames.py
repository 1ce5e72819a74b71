"""What a receiver makes of bytes that were sent in another frame or at another rate."""

from __future__ import annotations

__all__ = ["as_seen_at", "with_parity"]


def with_parity(data: bytes, kind: str) -> bytes:
    """7 data bits and a parity bit as 8 data bits; kind: even, odd or mark."""
    return bytes(byte & 0x7F | (0x80 if _parity_bit(byte & 0x7F, kind) else 0) for byte in data)


def _parity_bit(byte: int, kind: str) -> bool:
    odd_ones = byte.bit_count() % 2 == 1
    match kind:
        case "even":
            return odd_ones
        case "odd":
            return not odd_ones
        case "mark":
            return True
    raise ValueError(kind)


def as_seen_at(data: bytes, sent: int, seen: int) -> bytes:
    """8N1 at `sent` bit/s, one byte right after the other, sampled as 8N1 at `seen` bit/s.

    A receiver waits for a falling edge, samples the middle of its bits, and takes a byte whatever its stop bit is.
    """
    levels: list[int] = []
    for byte in data:
        levels += [0, *(byte >> place & 1 for place in range(8)), 1]
    bits = len(levels)

    def level(time: float) -> int:
        place = int(time * sent)
        return levels[place] if place < bits else 1

    step = 1.0 / (16 * max(sent, seen))
    found = bytearray()
    time, before = 0.0, 1
    while time < bits / sent:
        now = level(time)
        if before == 1 and now == 0:
            found.append(sum(level(time + (place + 1.5) / seen) << place for place in range(8)))
            time += 9.5 / seen
            now = level(time)
        before = now
        time += step
    return bytes(found)

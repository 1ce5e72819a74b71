"""What one serial interface hears of another that is set otherwise: bytes to bits to bytes, as the chips do it."""

from __future__ import annotations

from drivers.line_settings import LineSettings, Parity

UNREADABLE = 0x80


def heard(data: bytes, sent: LineSettings, read: LineSettings, *, checks_parity: bool = False) -> bytes:
    """The bytes that an interface set to `read` makes of `data` from one set to `sent`, in one go.

    A missing stop bit gives NUL, as Linux does by default. checks_parity: a meter's side, where a byte of wrong
    parity can't be read; a computer's takes it as it is unless told otherwise.
    """
    bits = _bits(data, sent)
    step = sent.baud_rate / read.baud_rate
    level_at = lambda t: bits[min(int(t), len(bits) - 1)]  # noqa: E731
    found = bytearray()
    at = 0.0
    while True:
        while at < len(bits) and level_at(at):
            at = int(at) + 1.0
        if at >= len(bits):
            return bytes(found)
        value = sum(level_at(at + (1.5 + place) * step) << place for place in range(read.data_bits))
        after = 1.5 + read.data_bits
        wrong = False
        if read.parity is not Parity.NONE:
            wrong = level_at(at + after * step) != _parity_bit(value, read.parity)
            after += 1
        if not level_at(at + after * step):
            value = 0
        found.append(UNREADABLE if wrong and checks_parity else value)
        at += after * step
        while at < len(bits) and not level_at(at):
            at = int(at) + 1.0


def _bits(data: bytes, frame: LineSettings) -> list[int]:
    bits = [1, 1]
    for byte in data:
        value = byte & ((1 << frame.data_bits) - 1)
        bits += [0, *((value >> place) & 1 for place in range(frame.data_bits))]
        if frame.parity is not Parity.NONE:
            bits.append(_parity_bit(value, frame.parity))
        bits += [1] * frame.stop_bits
    return [*bits, *[1] * 12]


def _parity_bit(value: int, parity: Parity) -> int:
    return value.bit_count() % 2 ^ (parity is Parity.ODD)

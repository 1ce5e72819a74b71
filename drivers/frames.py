"""The frames in which an unknown meter may be set, the commonest first."""

from __future__ import annotations

import re
from dataclasses import replace

from drivers.line_settings import LineSettings, Parity

__all__ = ["COMMON_FRAMES", "FRAMES", "frame_from", "frame_time"]

# 9600 and 4800 are what most meters leave the factory with; 115200 is what boards with a USB adapter built in have.
# The order is common practice, no source.
_RATES = (9600, 115200, 19200, 4800, 57600, 38400, 2400, 1200, 230400)
_FORMS = ((8, Parity.NONE, 1), (7, Parity.EVEN, 1), (7, Parity.ODD, 1), (8, Parity.NONE, 2))
_BITS_A_BYTE = 12

FRAMES: tuple[LineSettings, ...] = tuple(
    replace(LineSettings(), baud_rate=rate, data_bits=bits, parity=parity, stop_bits=stops)
    for bits, parity, stops in _FORMS
    for rate in _RATES
)
"""Every rate as 8N1, then as 7E1, 7O1 and 8N2."""

COMMON_FRAMES = FRAMES[: 2 * len(_RATES)]
"""8N1 and 7E1, at every rate."""


def frame_time(frame: LineSettings, byte_count: int) -> float:
    """The time that so many bytes take on the line, s."""
    return byte_count * _BITS_A_BYTE / frame.baud_rate


def frame_from(text: str) -> LineSettings:
    """The frame that a person means by `9600 8N1`; raises ValueError that says what was expected."""
    match = re.fullmatch(r"\s*(\d{2,7})[\s,/-]+([5-8])([NEOneo])([12])\s*", text, re.ASCII)
    if match is None or not 50 <= int(match[1]) <= 4_000_000:
        raise ValueError(f"{text!r}, expected a rate, data bits, parity and stop bits such as '9600 8N1'")
    parity = {each.letter: each for each in Parity}[match[3].upper()]
    return replace(
        LineSettings(), baud_rate=int(match[1]), data_bits=int(match[2]), parity=parity, stop_bits=int(match[4])
    )

"""Which questions may be put to a meter of which nothing is known."""

from __future__ import annotations

import re

__all__ = ["harmless"]

# One header, optionally with a quoted or bare word behind it; no second message, no block.
_QUESTION = re.compile(r"\*?[A-Z][A-Z0-9:_]{0,40}\?", re.ASCII)
# These end with a question mark and yet do something: trigger, select, test, calibrate, clear a register.
_ACTS = (
    "READ",
    "MEAS",
    "INIT",
    "TRIG",
    "*TST",
    "*CAL",
    "*RST",
    "*TRG",
    "*OPC",
    "*ESR",
    "CAL",
    "TEST",
    "DIAG",
    "SYST:SELF",
)


def harmless(message: str) -> bool:
    """Whether a message is one question that only tells: it takes nothing, selects nothing, triggers nothing.

    `READ?` and `MEAS:...?` are left out: they trigger, and `MEAS` selects a function and a range
    (SCPI-99, volume 2, 3.1).
    """
    head = message.strip().removeprefix(":").upper()
    return _QUESTION.fullmatch(head) is not None and not head.startswith(_ACTS)

"""Allowances that the diagnosis makes in more than one place."""

from __future__ import annotations

__all__ = ["GAUGE_STEP", "U_STACK", "U_TURNS"]

GAUGE_STEP = 92 ** (1 / 39)
"""One size of a gauge in diameter: 92^(1/39) of AWG (ASTM B258); the R20 series of metric sizes has the same 12 %."""
U_STACK = 0.6e-3
"""Of a stack's height by a rule that is laid against it [m]; common practice, no source."""
U_TURNS = 3e-4
"""Of turns by volts beside the instruments, as a share, where words and advice are made (common practice, no source);
the diagnosis itself takes the limits profile's `[unexplained]`."""

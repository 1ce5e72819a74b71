"""Power out over power in, from losses, and the load at which it is best."""

from __future__ import annotations

import math

__all__ = ["best_load", "efficiency"]


def efficiency(output: float, copper_loss: float, core_loss: float, load: float = 1.0) -> float:
    """Fraction of the power from the supply that comes out, at `load` times the rated amps.

    output [W] and copper_loss [W] at rated amps, core_loss [W] at any;  load k >= 0, with the same power factor:
    k P / (k P + k^2 Pcu + Pfe).  Raises ValueError.  Source: any textbook.
    """
    if min(output, copper_loss, core_loss, load) < 0:
        raise ValueError("output, losses and load must not be negative")
    given, taken = load * output, load * output + load**2 * copper_loss + core_loss
    return given / taken if taken else 0.0


def best_load(copper_loss: float, core_loss: float) -> float:
    """Fraction of the rated load at which efficiency is best: where copper loss has become equal to core loss.

    copper_loss [W] > 0 at rated amps, core_loss [W] >= 0.  Raises ValueError.  Source: any textbook.
    """
    if not (copper_loss > 0 and core_loss >= 0):
        raise ValueError(
            f"copper loss {copper_loss:g} W, core loss {core_loss:g} W, expected more than 0 and 0 or more"
        )
    return math.sqrt(core_loss / copper_loss)

"""A turn that closes on itself: what it takes says that it can't stay; where it is, only stripping tells."""

from __future__ import annotations

from bench.diagnosis.in_words.seen import listed
from bench.diagnosis.remedies.unit import Unit
from bench.diagnosis.remedies.words import UNPLUGGED
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    drawn = unit.design
    siemens = unit.variant.loop_conductance
    if not siemens > 0:
        return ()
    per_turn = drawn.voltage / abs(unit.as_it_is.fed_span.turns)
    takes = f"{siemens * per_turn**2:.2g} W and {show(siemens * per_turn, 'A', 2)} round one turn at nominal"
    outside_in = [one.name for one in reversed(unit.job.winding)]
    return (
        f"don't feed it: the closed turn takes {takes}, in one place, and burns its neighbours",
        f"{UNPLUGGED}look over lead exits, crossings and the outermost layer, of {outside_in[0]}, for bared wire: lift "
        "that turn, insulate it, and take the watts at a few volts again",
        f"{UNPLUGGED}take the core out, strip layer by layer from outside, {listed(outside_in)}, to the turn that is "
        f"bared, and renew wire and interlayer; readings lay it to {place} but hardly tell windings apart, so look at "
        "each as it comes off",
    )

"""The steps of the acceptance test, a module each, in the order of least risk."""

from bench.acceptance.steps import (
    conditions,
    core_watts,
    exciting,
    first_power,
    insulation,
    low_volts,
    open_circuit,
    polarity,
    resistance,
)

__all__ = ["IN_ORDER"]

# A phase is a module with `plan(context)` and `run(context)`. `MAINS` says whether it puts mains on the unit, `FEEDS`
# whether it feeds the primary at all, `CAUTIONED` whether it opens with cautions without which nothing may follow.
IN_ORDER = (
    conditions,
    resistance,
    insulation,
    low_volts,
    polarity,
    first_power,
    exciting,
    core_watts,
    open_circuit,
)

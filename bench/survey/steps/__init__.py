"""The steps of reading a unit as found, a module each, in the order of least risk."""

from bench.survey.steps import at_rest, exciting, first_power, low_volts, open_volts, resistance

__all__ = ["IN_ORDER"]

# A step is a module with `run(context)`. `MAINS` says whether it puts mains on the unit, `FEEDS` whether it feeds it at
# all, `CAUTIONED` whether it opens with cautions without which nothing may follow, `WHAT` is what it reads, in words.
IN_ORDER = (at_rest, resistance, low_volts, first_power, open_volts, exciting)

"""How far a unit that is as it was may still read from what it read, and how far a fault may take it."""

from __future__ import annotations

__all__ = [
    "U_AMPS",
    "U_FOUND_AMPS",
    "U_FOUND_WATTS",
    "U_OHMS",
    "U_RATIO",
    "U_RESTACKED_LOSS",
    "U_RESTACKED_REACTIVE",
    "U_TURNS_WRONG",
    "U_WARM",
    "U_WATTS",
]

# All are standard uncertainties of natural logarithms; common practice, no source.

# The joints never come together twice in the same way: reactive current and core loss of a core stacked anew.
U_RESTACKED_REACTIVE = 0.15
U_RESTACKED_LOSS = 0.08
# Meters of the day when the unit was read as found: nobody wrote down how good they were.
U_FOUND_AMPS = 0.01
U_FOUND_WATTS = 0.03
# From point to point, of now.
U_AMPS = 0.02
U_WATTS = 0.02
# Open volts of a winding that was wound by count.
U_RATIO = 0.002
# Ohms of a winding wound anew with the same wire, and copper that is 10 K warmer or cooler than when it was read.
U_OHMS = 0.05
U_WARM = 0.04
# A miscount: a few turns in a hundred.
U_TURNS_WRONG = 0.04

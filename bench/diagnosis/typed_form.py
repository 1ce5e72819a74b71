"""The form of a typed reading, `WHAT:NAME=VALUE@FED`, and what is known of one that no leaflet tells."""

from __future__ import annotations

import re

__all__ = ["FORM", "OVER_RANGE", "U_WATTS"]

FORM = re.compile(r"(?P<what>[a-z]+)(?::(?P<name>[^=]+))?=(?P<value>[^@]+)(?:@(?P<fed>.+))?")
OVER_RANGE = frozenset({"ol", "o.l", "inf", "infinite", "open"})
"""What a person writes for ohms beyond every range, in small letters."""
U_WATTS = 0.02
"""Of a wattmeter at the low power factor of a core, as a share of its reading; common practice, no source."""

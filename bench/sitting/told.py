"""What a person is to know of the record, whichever part of the program opened it: command and window both show it."""

from __future__ import annotations

import logging

__all__ = ["TOLD"]

TOLD = logging.getLogger("turnproof.record")
"""A warning here is a whole line for the person at the bench."""

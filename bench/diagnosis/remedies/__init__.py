"""What can be done about a fault before varnish: from the least work to the most, with what each costs."""

from __future__ import annotations

from bench.diagnosis.remedies.ladder import ladder

__all__ = ["ladder"]

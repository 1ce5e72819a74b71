"""How a person names an instrument: PROFILE@PORT."""

from __future__ import annotations

from dataclasses import dataclass

from drivers.errors import AddressError

__all__ = ["Address"]


@dataclass(frozen=True, slots=True)
class Address:
    """A profile and the port it is met at, such as `scpi@/dev/ttyUSB0` or `hall@socket://192.0.2.7:5025`."""

    profile: str
    port: str

    @classmethod
    def parse(cls, text: str) -> Address:
        """Split PROFILE@PORT; raises AddressError with what was expected."""
        profile, sign, port = text.strip().partition("@")
        if not sign or not profile or not port:
            raise AddressError(f"instrument {text!r}: expected PROFILE@PORT such as scpi@/dev/ttyUSB0, or hand")
        return cls(profile, port)

    def __str__(self) -> str:
        return f"{self.profile}@{self.port}"

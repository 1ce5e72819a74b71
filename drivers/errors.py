"""What can go wrong between a port and a reading, each with what to do about it."""

__all__ = [
    "AddressError",
    "DriverError",
    "LinkLost",
    "MeterError",
    "NoAnswer",
    "OutOfStep",
    "PortBusy",
    "PortDenied",
    "PortMissing",
    "ProfileError",
    "UnaskedLine",
    "Unreadable",
    "Unsupported",
]


class DriverError(Exception):
    """Base of all trouble with an instrument; its text is one line that says what, where and what next."""


class AddressError(DriverError):
    """An instrument was not named as PROFILE@PORT."""


class ProfileError(DriverError):
    """A profile is missing or says something that a profile can't say."""


class PortMissing(DriverError):
    """The port does not exist, or nobody listens there."""


class PortDenied(DriverError):
    """The port exists but this user may not open it."""


class PortBusy(DriverError):
    """Another program holds the port."""


class LinkLost(DriverError):
    """The line went away: unplugged, switched off, or closed by the other side."""


class NoAnswer(DriverError):
    """The line is open but nothing came before the deadline."""


class Unreadable(DriverError):
    """Bytes came, but damaged or in another frame (bits, parity, rate)."""


class OutOfStep(DriverError):
    """An answer came that can't be the one that was asked for; nothing was taken from it."""


class UnaskedLine(OutOfStep):
    """A line came although nothing had been asked; the query was not sent."""


class MeterError(DriverError):
    """The meter itself reported an error."""


class Unsupported(DriverError):
    """The profile does not offer this function or range; nothing was sent."""

"""What the procedure asks for, one request at a time: of the operator, or of the instrument."""

from __future__ import annotations

from dataclasses import dataclass, field

from drivers.reading import Quantity

__all__ = [
    "Confirm",
    "Connect",
    "Due",
    "Enter",
    "Excite",
    "Load",
    "OperatorRequest",
    "Request",
    "Skipped",
    "StepDone",
    "Stopped",
    "Take",
    "Trouble",
    "Wait",
]


@dataclass(frozen=True)
class Confirm:
    """Read this and say that it is done: cautions in full or in a line, then what to do."""

    step: str
    text: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Connect:
    """Put the instrument between two terminals; `links` are wires that join others meanwhile."""

    step: str
    quantity: Quantity
    from_terminal: str
    to_terminal: str
    winding: str = ""
    links: tuple[tuple[str, str], ...] = ()
    text: str = ""
    cautions: tuple[str, ...] = ()
    expected: float | None = None


@dataclass(frozen=True)
class Excite:
    """Feed a winding; 0 V switches off.

    hazard [V]: the most that this puts between any two terminals;  text: what to mind at it, such as what has
    to come out of the circuit first, or how to switch off.
    """

    step: str
    winding: str
    from_terminal: str
    to_terminal: str
    volts: float
    hertz: float
    source: str = "low voltage"
    limiter: bool = False
    series_ohms: float | None = None
    hazard: float = 0.0
    cautions: tuple[str, ...] = ()
    text: str = ""


@dataclass(frozen=True)
class Load:
    """Hang a load on a winding; `ohms` None takes it off.  amps [A rms], watts: what it will take, for its size."""

    step: str
    winding: str
    from_terminal: str
    to_terminal: str
    ohms: float | None
    amps: float = 0.0
    watts: float = 0.0
    text: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Enter:
    """A value read elsewhere and typed; `unit` is what a bare number is taken in.

    reading_of: where the hand-held meter's leads go, when it is that meter's reading;  volts: what a tester puts on
    while it reads, where that counts;  expected [SI]: about what is looked for;  place: where a temperature is read.
    """

    step: str
    quantity: Quantity
    text: str
    unit: str
    between: tuple[str, str] | None = None
    reading_of: Connect | None = None
    cautions: tuple[str, ...] = ()
    volts: float | None = None
    expected: float | None = None
    place: str = ""


@dataclass(frozen=True)
class Wait:
    """Let so many seconds pass with everything as it is; done when they are over, skipped when they are cut short."""

    step: str
    seconds: float
    text: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Due:
    """What a reading should be near when the leads are where they should be, SI.

    Between low and high nothing is said; the unit may still be faulty.  others: what the meter would show elsewhere,
    by the name of the place.
    """

    value: float
    low: float
    high: float
    others: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Take:
    """Let the connected instrument take one settled reading; `expected` [SI] chooses its range.

    due: what tells whether the leads are where they should be; None where that is not known.  Of Quantity.TIME it is
    the moment, by the clock of the readings: its `monotonic` says when the answer to the request before came.
    """

    step: str
    quantity: Quantity
    expected: float | None
    samples: int = 1
    due: Due | None = None


@dataclass(frozen=True)
class StepDone:
    """A step has its result: store it before anything else happens."""

    result: object = field(repr=False)


OperatorRequest = Confirm | Connect | Excite | Load | Enter | Wait
Request = OperatorRequest | Take | StepDone


class Skipped(Exception):
    """The operator skips this step, with a reason."""


class Stopped(Exception):
    """The operator stops the test, with a reason."""


class Trouble(Exception):
    """An instrument could not give a reading; the text says why."""

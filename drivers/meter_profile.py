"""What a profile says about a meter: its line, its commands, its functions and ranges, its accuracy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from drivers.answer_shape import AnswerShape
from drivers.line_pattern import LinePattern
from drivers.line_settings import LineSettings
from drivers.manners import Manners
from drivers.meter_function import MeterFunction, MeterRange, Response
from drivers.reading import Quantity
from drivers.scpi import AnswerForms

__all__ = ["Completion", "FirstCall", "MeterFunction", "MeterProfile", "MeterRange", "MeterTiming", "Response"]


@dataclass(frozen=True, slots=True)
class MeterTiming:
    """Deadlines, s.

    response, identity: for a whole answer, and for the one to the identity query. quiet: so long nothing
    comes on a drained line. late: how long an answer may still come after its time-out. resync: to get
    back in step. reopen: to find a lost line again. gap: least pause between two messages.
    """

    response_s: float = 3.0
    identity_s: float = 1.5
    quiet_s: float = 0.05
    late_s: float = 2.0
    resync_s: float = 15.0
    reopen_s: float = 5.0
    gap_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Completion:
    """A query whose answer, matched in full, says that all before it has been done; within_s: its deadline."""

    query: str
    pattern: LinePattern
    within_s: float


@dataclass(frozen=True, slots=True)
class FirstCall:
    """What is said to find out whether a meter of this dialect is on a line, and what a right answer looks like.

    probe: the dialect has no identity query; `query` is another one that does no harm, and its answer does not tell
    one meter from the next. manners: what comes beside the answer.
    """

    line: LineSettings
    device_clear: bytes
    query: str
    probe: bool
    pattern: LinePattern
    terminator_sent: bytes
    terminator_received: bytes
    manners: Manners
    within_s: float


@dataclass(frozen=True, slots=True)
class MeterProfile:
    """A dialect with the accuracy of the meters that speak it.

    identity_is_probe: there is no identity query; any harmless one stands in its place. serial_field: which field of
    the identity between commas, from 1, is the serial number; 0 where none is. longest_message: characters that the
    meter's input takes, the terminator among them. error_form: of an entry of the error queue, with the groups `code`
    and `text`; None: a code, a comma and a text.
    """

    name: str
    about: str
    accuracy_basis: str
    line: LineSettings
    functions: Mapping[Quantity, MeterFunction]
    identity_query: str
    identity_pattern: LinePattern
    identity_is_probe: bool = False
    serial_field: int = 0
    terminator_sent: bytes = b"\n"
    terminator_received: bytes = b"\n"
    line_limit: int = 350
    longest_message: int = 100
    device_clear: bytes = b""
    manners: Manners = field(default_factory=Manners)
    timing: MeterTiming = field(default_factory=MeterTiming)
    enter: tuple[str, ...] = ()
    leave: tuple[str, ...] = ()
    setup: tuple[str, ...] = ()
    completion: Completion | None = None
    error_query: str | None = None
    error_form: LinePattern | None = None
    errors_most: int = 20
    forms: AnswerForms = field(default_factory=AnswerForms)
    shape: AnswerShape = field(default_factory=AnswerShape)

    @property
    def first_call(self) -> FirstCall:
        """What to say on a line of which nothing is known."""
        return FirstCall(
            line=self.line,
            device_clear=self.device_clear,
            query=self.identity_query,
            probe=self.identity_is_probe,
            pattern=self.identity_pattern,
            terminator_sent=self.terminator_sent,
            terminator_received=self.terminator_received,
            manners=self.manners,
            within_s=self.timing.identity_s,
        )

    def identity_of(self, answer: str) -> str:
        """The identity that an answer to the first call gives; of a probe the answer changes and says nothing."""
        return f"no identity, answers to {self.identity_query}" if self.identity_is_probe else answer

    def serial_number(self, identity: str) -> str | None:
        """The serial number in an identity; None where the dialect has none or the meter gives an empty one or 0."""
        fields = [each.strip() for each in identity.split(",")]
        if not 1 <= self.serial_field <= len(fields):
            return None
        serial = fields[self.serial_field - 1]
        return serial if serial.strip("0") else None

    def same_meter(self, one: str, other: str) -> bool:
        """Whether two identities are of the same meter: by all up to the serial number where there is one, since what
        follows changes with the firmware; else by all."""
        if self.serial_number(one) is None or self.serial_number(other) is None:
            return one == other
        first, second = ([each.strip() for each in text.split(",")][: self.serial_field] for text in (one, other))
        return first == second

    def messages(self) -> tuple[str, ...]:
        """Everything that this profile ever says, ranges filled in."""
        said = [self.identity_query, *self.enter, *self.leave, *self.setup]
        said += [self.completion.query] if self.completion is not None else []
        said += [self.error_query] if self.error_query is not None else []
        for function in self.functions.values():
            said += [check.query for check in function.verify]
            for each in function.ranges:
                said += [*function.commands(each), each.fill(function.arm or ""), each.fill(function.read)]
        return tuple(dict.fromkeys(said))

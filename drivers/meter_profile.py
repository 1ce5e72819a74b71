"""What a profile says about a meter: its line, its commands, its functions and ranges, its accuracy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drivers.accuracy import Accuracy
from drivers.errors import ProfileError, Unsupported
from drivers.line_pattern import LinePattern
from drivers.line_settings import LineSettings
from drivers.line_tables import line_settings_from, terminator_from
from drivers.reading import Quantity
from drivers.scpi import AnswerForms
from drivers.strict_table import StrictTable

__all__ = ["MeterFunction", "MeterProfile", "MeterRange", "MeterTiming", "Response", "meter_profile_from"]

_SCHEMA = 1


class Response(StrEnum):
    """What an alternating function responds to; a peaky current reads wrong on a mean-responding meter."""

    TRUE_RMS = "true rms"
    MEAN = "mean"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class MeterRange:
    """One range. full_scale, resolution (one count) and noise (standard deviation of one reading) in SI.

    test_current: what an ohmmeter sends through the resistance on this range [A]; None where nobody says.
    """

    full_scale: float
    resolution: float
    noise: float
    accuracy: Accuracy
    test_current: float | None = None


@dataclass(frozen=True, slots=True)
class MeterFunction:
    """How one quantity is selected and read.

    verify, verified: query and full-match pattern that prove the selection; its group `range`, where it
    has one, holds the range in SI. settle_s: wait after a selection. discard: readings thrown away then.
    lead_resistance: the most that the leads may add to a two-wire resistance, ohm.
    """

    quantity: Quantity
    select: str
    read: str
    ranges: tuple[MeterRange, ...]
    verify: str | None = None
    verified: LinePattern | None = None
    settle_s: float = 0.0
    discard: int = 1
    response: Response = Response.NONE
    crest_factor_max: float | None = None
    lead_resistance: float = 0.0

    def range_for(self, expected: float | None) -> MeterRange:
        """The smallest range that holds `expected` (SI), the largest where it is None; raises Unsupported."""
        if expected is None:
            return self.ranges[-1]
        for each in self.ranges:
            if abs(expected) <= each.full_scale:
                return each
        raise Unsupported(
            f"{self.quantity}: {abs(expected):g} {self.quantity.unit} is beyond the largest range, "
            f"{self.ranges[-1].full_scale:g} {self.quantity.unit}"
        )


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
class MeterProfile:
    """A dialect with the accuracy of the meters that speak it."""

    name: str
    about: str
    accuracy_basis: str
    line: LineSettings
    functions: Mapping[Quantity, MeterFunction]
    identity_query: str
    identity_pattern: LinePattern
    terminator_sent: bytes = b"\n"
    terminator_received: bytes = b"\n"
    line_limit: int = 350
    device_clear: bytes = b""
    timing: MeterTiming = field(default_factory=MeterTiming)
    enter: tuple[str, ...] = ()
    leave: tuple[str, ...] = ()
    setup: tuple[str, ...] = ()
    error_query: str | None = None
    errors_most: int = 20
    forms: AnswerForms = field(default_factory=AnswerForms)


def meter_profile_from(data: Mapping[str, object], where: str) -> MeterProfile:
    """Build a profile from its table; raises ProfileError with every problem, one line each."""
    problems: list[str] = []
    top = StrictTable(data, where, problems)
    top.integer("schema", least=_SCHEMA, most=_SCHEMA)
    interface, timing, identity = top.table("interface"), top.table("timing"), top.table("identity")
    remote, errors, reading = top.table("remote"), top.table("errors"), top.table("reading")
    functions = top.table("functions")
    usual, forms = MeterTiming(), AnswerForms()
    profile = MeterProfile(
        name=top.text("name"),
        about=top.text("about", ""),
        accuracy_basis=top.text("accuracy_basis"),
        line=line_settings_from(interface),
        functions=_functions_from(functions),
        identity_query=identity.text("query"),
        identity_pattern=identity.pattern("pattern"),
        terminator_sent=terminator_from(interface, "terminator_sent"),
        terminator_received=terminator_from(interface, "terminator_received"),
        line_limit=interface.integer("line_limit", 350, least=16, most=65536),
        device_clear=interface.text("device_clear", "").encode("ascii", "replace"),
        timing=MeterTiming(
            response_s=timing.number("response_s", usual.response_s, least=0.01),
            identity_s=timing.number("identity_s", usual.identity_s, least=0.01),
            quiet_s=timing.number("quiet_s", usual.quiet_s, least=0.001),
            late_s=timing.number("late_s", usual.late_s),
            resync_s=timing.number("resync_s", usual.resync_s, least=0.1),
            reopen_s=timing.number("reopen_s", usual.reopen_s),
            gap_s=interface.number("gap_s", usual.gap_s, most=10.0),
        ),
        enter=remote.texts("enter", ()),
        leave=remote.texts("leave", ()),
        setup=top.texts("setup", ()),
        error_query=errors.text("query") if errors.has("query") else None,
        errors_most=errors.integer("most", 20, least=1, most=1000),
        forms=AnswerForms(
            overload_values=reading.numbers("overload_values", forms.overload_values),
            overload_words=reading.texts("overload_words", ()),
            no_value_values=reading.numbers("no_value_values", forms.no_value_values),
            no_value_words=reading.texts("no_value_words", ()),
        ),
    )
    for table in (top, interface, timing, identity, remote, reading, functions):
        table.finish()
    if top.has("errors"):
        errors.finish()
    if problems:
        raise ProfileError("\n".join(problems))
    return profile


def _functions_from(tables: StrictTable) -> dict[Quantity, MeterFunction]:
    found: dict[Quantity, MeterFunction] = {}
    for quantity in Quantity:
        if tables.has(quantity):
            found[quantity] = _function_from(quantity, tables.table(quantity))
    return found


def _function_from(quantity: Quantity, table: StrictTable) -> MeterFunction:
    verify = table.text("verify") if table.has("verify") else None
    ranges = tuple(_range_from(quantity, each) for each in table.tables("ranges"))
    scales = [each.full_scale for each in ranges]
    if scales != sorted(set(scales)):
        table.report("ranges", "expected in rising order of full scale, each once")
    function = MeterFunction(
        quantity=quantity,
        select=table.text("select"),
        read=table.text("read"),
        ranges=ranges,
        verify=verify,
        verified=table.pattern("verified") if verify is not None else None,
        settle_s=table.number("settle_s", 0.0, most=60.0),
        discard=table.integer("discard", 1, most=20),
        response=table.choice("response", Response, Response.NONE),
        crest_factor_max=table.number("crest_factor_max", least=1.0) if table.has("crest_factor_max") else None,
        lead_resistance=table.number("lead_resistance_ohm", 0.0) if quantity is Quantity.RESISTANCE else 0.0,
    )
    table.finish()
    return function


def _range_from(quantity: Quantity, table: StrictTable) -> MeterRange:
    unit = quantity.unit
    found = MeterRange(
        full_scale=table.number(f"full_scale_{unit}"),
        resolution=table.number(f"resolution_{unit}"),
        noise=table.number(f"noise_{unit}"),
        accuracy=Accuracy(
            percent_of_reading=table.number("percent_of_reading", most=100.0),
            percent_of_range=table.number("percent_of_range", 0.0, most=100.0),
            counts=table.number("counts", 0.0),
        ),
        test_current=_test_current(quantity, table),
    )
    table.finish()
    return found


def _test_current(quantity: Quantity, table: StrictTable) -> float | None:
    ohms = quantity in (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)
    return table.number("test_current_A", most=100.0) if ohms and table.has("test_current_A") else None

"""What the reading of a unit as found knows while it runs: its windings, what was read, what is fed and how high."""

from __future__ import annotations

import itertools
import math
from collections.abc import Generator
from dataclasses import dataclass, field, replace
from typing import Any

from bench.acceptance.cautions import Cautions
from bench.acceptance.context import Equipment
from bench.acceptance.leads import Leads
from bench.acceptance.requests import Excite, Request, StepDone
from bench.acceptance.steps.open_circuit import HAND_HELD_VOLTS
from bench.estimate import Estimate
from bench.job.as_found import AsFound, FoundWinding
from bench.job.model import Job
from bench.survey.gathered import AS_FOUND
from bench.survey.step_up import StepUp

__all__ = ["NOTE", "Kept", "NotRead", "ReadingContext", "SpanFound", "spans_of", "written"]

NOTE = "note"
"""Kind of an entry that holds a line of text."""

_VARIAC = 1.15
"""Volts of a variac at its stop over those of its supply (common practice: 110 to 117 %)."""
_MARGIN = 1.02
"""Over a ratio that was read at a few volts."""


@dataclass(frozen=True)
class SpanFound:
    """A winding as found, or a section of it between two leads, by the name under which it is read."""

    name: str
    winding: str
    from_terminal: str
    to_terminal: str
    whole: bool = True


@dataclass(frozen=True)
class Kept:
    """What goes into the record: a reading as found, or a note."""

    kind: str
    body: dict[str, Any]


@dataclass(frozen=True)
class NotRead:
    """What was not read, and why."""

    what: str
    reason: str


@dataclass
class ReadingContext(Leads):
    """State of one reading; only the machine and its steps touch it.

    found: what was known before;  hertz [Hz]: of the supply, nominal until it is read;  rules: profiles/limits/survey;
    tester [V]: of the insulation tester;  resistor_watts: that the known resistor bears;  insulation [ohm], ohms [ohm
    at the bench's temperature]: by name, those known before among them;  opened: whose ohms are over range;  ratios:
    volts of a winding over the fed one's, as read;  gates: why nothing is fed, unless a reason is recorded;  bars: why
    nothing is, whatever the reason;  mains_bars: why it is not fed beyond a few volts;  ever_fed: whether volts were
    ever asked for.
    """

    job: Job
    found: AsFound
    equipment: Equipment
    rules: dict[str, Any]
    hertz: float
    tester: float = 500.0
    resistor_watts: float = 10.0
    cautions: Cautions = field(default_factory=Cautions)
    temperature: str = ""
    insulation: dict[str, float] = field(default_factory=dict)
    ohms: dict[str, float] = field(default_factory=dict)
    opened: set[str] = field(default_factory=set)
    fed: FoundWinding | None = None
    step_ups: dict[str, StepUp | None] = field(default_factory=dict)
    ratios: dict[str, float] = field(default_factory=dict)
    gates: list[str] = field(default_factory=list)
    bars: list[str] = field(default_factory=list)
    mains_bars: list[str] = field(default_factory=list)
    read: list[str] = field(default_factory=list)
    not_read: list[NotRead] = field(default_factory=list)
    ever_fed: bool = False

    @property
    def own(self) -> tuple[FoundWinding, ...]:
        """The windings of the unit, without coils of one's own."""
        return tuple(one for one in self.found.winding if not one.search_coil)

    @property
    def fed_span(self) -> SpanFound:
        """The whole of the winding that is fed."""
        assert self.fed is not None
        return spans_of(self.fed)[0]

    @property
    def step_up(self) -> float:
        """The most volts on any terminal for each volt on the fed winding: as read, else at their worst.

        Infinite while of one winding nothing tells.
        """
        most = 1.0
        for name, one in self.step_ups.items():
            if name in self.ratios:
                most = max(most, self.ratios[name] * _MARGIN)
            else:
                most = max(most, math.inf if one is None else one.most)
        return most

    @property
    def nominal_volts(self) -> float | None:
        """Volts that the fed winding was made for; None while neither plate nor a ratio to the primary tells."""
        assert self.fed is not None
        primary, made = self.found.primary, self.job.made_for or self.job.supply
        volts = None if primary is None else primary.nameplate_voltage or (made.voltage if made is not None else None)
        if primary is not None and volts is not None and primary.name == self.fed.name:
            return volts
        if primary is not None and volts is not None and self.ratios.get(primary.name, 0.0) > 0:
            return volts / self.ratios[primary.name]
        return self.fed.nameplate_voltage

    @property
    def full_flux_volts(self) -> float | None:
        """Volts on the fed winding that at this supply's frequency make the flux which the unit was made for.

        V / f is what makes the flux; a plate of two frequencies was made for the lower one.
        """
        volts, made = self.nominal_volts, self.job.made_for
        if volts is None:
            return None
        if made is None:
            return volts
        return volts * self.hertz / min(made.frequency, made.or_frequency or made.frequency)

    @property
    def most_fed_volts(self) -> float:
        """Of a variac on this supply; no limit where the job does not say which supply."""
        return math.inf if self.job.supply is None else _VARIAC * self.job.supply.voltage

    @property
    def most_read_volts(self) -> float:
        """That this meter is put on."""
        return 0.95 * max(HAND_HELD_VOLTS, *self.equipment.volt_spans)

    def feed(
        self, step: str, volts: float, source: str, *, limiter: bool = False, series_ohms: float | None = None
    ) -> Excite:
        """A request to put `volts` on the fed winding, with the hazard that this makes on any terminal."""
        span, hazard = self.fed_span, volts * self.step_up
        self.ever_fed = True
        return Excite(
            step=step,
            winding=span.winding,
            from_terminal=span.from_terminal,
            to_terminal=span.to_terminal,
            volts=volts,
            hertz=self.hertz,
            source=source,
            limiter=limiter,
            series_ohms=series_ohms,
            hazard=hazard,
        )

    def cautioned(self, request: Excite) -> Excite:
        """With the lines for the volts that it puts on any terminal."""
        return replace(request, cautions=self.cautions.for_volts(request.hazard, request.source))

    def skip(self, what: str, reason: object) -> None:
        one = NotRead(what, str(reason))
        if one not in self.not_read:
            self.not_read.append(one)

    def keep(self, what: str, body: dict[str, Any]) -> Generator[Request, Any, None]:
        """A reading as found goes into the record before anything else happens."""
        if what not in self.read:
            self.read.append(what)
        yield StepDone(Kept(AS_FOUND, body))

    def note(self, text: str, **more: str) -> Generator[Request, Any, None]:
        yield StepDone(Kept(NOTE, {"text": text, **more}))


def spans_of(winding: FoundWinding) -> tuple[SpanFound, ...]:
    """The whole winding first; then, with taps, its sections, each named after the lead that ends it."""
    name = winding.name
    whole = SpanFound(name, name, f"{name}.start", f"{name}.finish")
    if not winding.taps:
        return (whole,)
    leads = ["start", *(tap.name for tap in winding.taps), "finish"]
    sections = [
        SpanFound(f"{name}.{end}", name, f"{name}.{begin}", f"{name}.{end}", whole=False)
        for begin, end in itertools.pairwise(leads)
    ]
    return (whole, *sections)


def written(estimate: Estimate, unit: str) -> str:
    """A reading as a person would write it down, to a hundredth of its doubt or seven digits: `107.2983 ohm`."""
    value = estimate.value
    finest = math.floor(math.log10(abs(value))) - 6 if value else -9
    place = finest if estimate.u <= 0 else max(finest, math.floor(math.log10(estimate.u)) - 2)
    return f"{value:.{max(0, -place)}f} {unit}"

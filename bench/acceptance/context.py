"""What a running test knows: the design, the rules, what stands on the bench, and what it feeds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from bench.acceptance.cautions import Cautions, Hazard
from bench.acceptance.cooling import CoolingFit
from bench.acceptance.feeding import best_feed_volts, settable
from bench.acceptance.leads import HANDS_OFF_VOLTS, Leads, Steps
from bench.acceptance.limiter import Limiter
from bench.acceptance.meter_abilities import Wattmeter, WaveReading, no_doubt_known, true_rms
from bench.acceptance.requests import Confirm, Connect, Excite, Skipped
from bench.acceptance.result import NotDone, StepResult
from bench.estimate import Estimate
from bench.job.bench_file import LoadResistor
from bench.job.expectation import Expectation, Span
from bench.job.model import Job
from bench.job.procedure_file import Stage
from drivers.reading import Quantity

__all__ = ["HANDS_OFF_VOLTS", "Context", "Equipment", "PlannedStep", "Steps", "Wound"]

# Test current [A] of an ohmmeter of which nobody says it: that of a hand-held one on its low ranges (memory).
_USUAL_TEST_CURRENT = 1e-3


@dataclass(frozen=True)
class Equipment:
    """What the bench offers.

    quantities: what the meter reads;  volt_spans: its AC ranges [V], where known;  range_error: its error as a fraction
    of the range;  series_ohms, series_tolerance, series_watts: the known resistor, its relative tolerance and what it
    bears [W];  low_volts: the most that the isolated low-voltage source gives;
    test_currents: full scale [ohm] and test current [A] of the ohmmeter's ranges, where known, rising;
    doubt_of: standard uncertainty [SI] of a reading of a quantity at a value, None where nobody says;  wave_of: how a
    quantity is read off a wave that is no sine;  at_once: volts and amps have a meter each, both connected together;
    wattmeter: read by a person;  load_resistors: what can be hung on a winding;  by_hand: whether a person reads the
    meter and types.
    """

    quantities: frozenset[Quantity]
    limiter: Limiter = field(default_factory=Limiter)
    series_ohms: float | None = None
    series_tolerance: float = 0.01
    low_volts: float = 24.0
    volt_spans: tuple[float, ...] = (2.0, 20.0, 200.0)
    range_error: float = 0.0025
    load_resistors: tuple[LoadResistor, ...] = ()
    by_hand: bool = False
    series_watts: float | None = None
    doubt_of: Callable[[Quantity, float], float | None] = no_doubt_known
    wave_of: Callable[[Quantity], WaveReading] = true_rms
    at_once: bool = False
    wattmeter: Wattmeter | None = None
    test_currents: tuple[tuple[float, float], ...] = ()

    def test_current(self, ohms: float) -> float:
        """What the ohmmeter sends through so many ohms [A]; a cautious milliampere where nobody says (memory)."""
        fitting = [current for full_scale, current in self.test_currents if ohms <= full_scale]
        if fitting:
            return fitting[0]
        return self.test_currents[-1][1] if self.test_currents else _USUAL_TEST_CURRENT


@dataclass(frozen=True)
class Wound:
    """Turns of a winding as they were counted while it was wound, the truth within [low, high]."""

    turns: float
    low: float
    high: float


@dataclass(frozen=True)
class PlannedStep:
    """A step that the test means to take."""

    id: str
    label: str
    required: bool


@dataclass
class Context(Leads):
    """State of one running test; only the procedure and its steps touch it.

    sitting: in which the last answer was given; readings of two sittings were not taken at one excitation.

    gates: why mains is barred;  feed_doubt: why nothing at all is fed;  before: results of the last test of the stage
    before this one, by their step;  wound: what was counted, by winding;  lead_ohms: what the meter's leads and zero
    showed;  magnetised: why the core has to be demagnetised at first power, empty where it need not be;  cooling: finds
    a resistance at the moment of switching off, None where nothing does;  class_one: whether the equipment has an
    earth, None until it was asked;  ammeter: whether the meter was put in series last;  danger: why no more volts may
    be put on, by what the readings so far speak for, empty where nothing forbids it.
    """

    job: Job
    expectation: Expectation
    rules: dict[str, Any]
    equipment: Equipment
    cautions: Cautions = field(default_factory=Cautions)
    results: list[StepResult] = field(default_factory=list)
    not_done: list[NotDone] = field(default_factory=list)
    gates: list[str] = field(default_factory=list)
    doubted_gates: dict[str, str] = field(default_factory=dict)
    contradicted: dict[str, str] = field(default_factory=dict)
    sitting: int = 1
    stage: Stage = Stage.BEFORE_VARNISH
    before: Mapping[str, StepResult] = field(default_factory=dict)
    cooling: CoolingFit | None = None
    temperature: float = 293.15
    u_temperature: float = 3.0
    ratios: dict[str, float] = field(default_factory=dict)
    feed_doubt: str = ""
    class_one: bool | None = None
    wound: Mapping[str, Wound] = field(default_factory=dict)
    lead_ohms: dict[Quantity, Estimate] = field(default_factory=dict)
    magnetised: str = ""
    ammeter: bool = False
    danger: Callable[[], str] = lambda: ""

    def skip(self, step: str, reason: str, required: bool = True) -> None:
        self.not_done.append(NotDone(step, reason, required))

    @property
    def why_no_curve(self) -> str:
        """Why there is no exciting current or core loss to judge by."""
        return next((one for one in self.expectation.missing if "no exciting current" in one), "no exciting curve")

    def measured_spans(self) -> list[Span]:
        """Sections of tapped windings, whole windings otherwise: what is measured winding by winding."""
        spans = self.expectation.spans.values()
        tapped = {span.winding for span in spans if not span.whole}
        return [span for span in spans if not span.whole or span.winding not in tapped]

    def secondary_spans(self) -> list[Span]:
        """All spans but the primary's, whole windings and sections."""
        return [s for s in self.expectation.spans.values() if s.winding != self.expectation.fed]

    def most_volts(self, fed_volts: float, linked: str | None = None, joined: tuple[str, ...] = ()) -> float:
        """The most volts between any two terminals while the primary has `fed_volts`, by the design's turns.

        A winding that is linked in series with the primary adds to it, and those that are joined to each other.
        """
        spans = self.expectation.spans
        per_turn = fed_volts / abs(self.expectation.fed_span.turns)
        most = max(self._all_turns(name) for name in {s.winding for s in spans.values()})
        if linked is not None:
            most = max(most, abs(self.expectation.fed_span.turns) + self._all_turns(linked))
        return per_turn * max(most, sum(self._all_turns(name) for name in joined))

    def _all_turns(self, winding: str) -> float:
        return sum(abs(span.turns) for span in self._parts(winding))

    def _parts(self, winding: str) -> list[Span]:
        spans = [s for s in self.expectation.spans.values() if s.winding == winding]
        return [s for s in spans if not s.whole] or spans

    def feed(
        self,
        step: str,
        volts: float,
        source: str,
        *,
        limiter: bool = False,
        series_ohms: float | None = None,
        linked: str | None = None,
        joined: tuple[str, ...] = (),
    ) -> Excite:
        """A request to put `volts` on the primary, with the hazard that this makes on any terminal."""
        fed = self.expectation.fed_span
        hazard = self.most_volts(volts, linked, joined)
        return Excite(
            step=step,
            winding=fed.winding,
            from_terminal=fed.from_terminal,
            to_terminal=fed.to_terminal,
            volts=volts,
            hertz=self.expectation.frequency,
            source=source,
            limiter=limiter,
            series_ohms=series_ohms,
            hazard=hazard,
        )

    def cautioned(self, request: Excite) -> Excite:
        """With the lines for the volts that it puts on any terminal."""
        return replace(request, cautions=self.cautions.for_volts(request.hazard, request.source))

    def placed(self, request: Connect) -> Connect:
        """With the lines for a meter that becomes an ammeter, or is one no longer."""
        if self.equipment.at_once:
            return request
        was, now = self.ammeter, request.quantity in (Quantity.CURRENT_AC, Quantity.CURRENT_DC)
        self.ammeter = now
        if was == now:
            return request
        told = self.cautions.of(Hazard.AMMETER if now else Hazard.NO_AMMETER)
        return replace(request, cautions=(*told, *request.cautions))

    def low_feed_volts(self, linked: str | None = None) -> float:
        """The volts for a low-voltage step: no terminal above 25 V, fitted to the meter's ranges."""
        most = self.most_low_volts(linked)
        rules = self.rules["ratio"]
        ratios = [
            (abs(self.expectation.ratio(s.name)), max(rules["tolerance"], rules["turns"] / abs(s.turns)))
            for s in self.secondary_spans()
            if linked in (None, s.winding)
        ]

        def lost_in_the_unit(volts: float) -> float:
            return self.expectation.leakage(volts) + self.expectation.u_log_drop * self.expectation.drop(volts)

        return best_feed_volts(most, ratios, self.equipment.volt_spans, self.equipment.range_error, lost_in_the_unit)

    def link_on(self, step: str) -> None:
        """A link is asked for: no mains until it is confirmed to be off, however the step ends."""
        if _link_gate(step) not in self.gates:
            self.gates.append(_link_gate(step))

    def link_off(self, step: str, text: str) -> Steps:
        """The link is confirmed to be off, where one was asked for."""
        if _link_gate(step) not in self.gates:
            return
        try:
            yield Confirm(step, text)
        except Skipped as reason:
            self.skip(f"{step}:link", str(reason), required=False)
            return
        self.gates.remove(_link_gate(step))

    def most_low_volts(self, linked: str | None = None, joined: tuple[str, ...] = ()) -> float:
        """The most that a low-voltage step may put on the primary: no terminal above 25 V, links included."""
        return settable(min(self.equipment.low_volts, 0.97 * HANDS_OFF_VOLTS / self.most_volts(1.0, linked, joined)))


def _link_gate(step: str) -> str:
    return f"{step}: that the link is off was not confirmed"

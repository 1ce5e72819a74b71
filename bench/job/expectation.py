"""What a unit should read: the form in which a design's expected readings travel to those who judge."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

__all__ = ["GOOD", "CoreRead", "ExcitingCurve", "Expectation", "Span", "Variant", "loop_beside"]


@dataclass(frozen=True)
class Span:
    """The part of a winding between two leads.

    name: the winding, or winding.lead for the section that ends at that lead;  turns: signed, negative when
    reversed against the primary;  resistance [ohm] at 20 degC, inf when open, None when not known;  u_log_resistance.
    """

    name: str
    winding: str
    start: str
    finish: str
    turns: float
    resistance: float | None
    u_log_resistance: float
    wire_diameter: float | None = None
    whole: bool = True

    @property
    def from_terminal(self) -> str:
        return f"{self.winding}.{self.start}"

    @property
    def to_terminal(self) -> str:
        return f"{self.winding}.{self.finish}"


@dataclass(frozen=True)
class ExcitingCurve:
    """Volts on the fed winding [V] (n,), exciting current [A rms], its u of ln, core loss [W], its u of ln.

    form_factor (RMS over mean rectified) and crest_factor (peak over RMS) of the current, where its wave is known.
    on_current, on_watts (c, n): what each cause of that doubt does to ln(current) and ln(watts), where they are told
    apart.
    core, loop: of a core with a closed loop round it, the core's own curve and what the loop conducts, seen from the
    fed winding [S].
    """

    voltage: NDArray[np.float64]
    current: NDArray[np.float64]
    u_log_current: NDArray[np.float64]
    core_watts: NDArray[np.float64]
    u_log_watts: NDArray[np.float64]
    form_factor: NDArray[np.float64] | None = None
    crest_factor: NDArray[np.float64] | None = None
    on_current: NDArray[np.float64] | None = None
    on_watts: NDArray[np.float64] | None = None
    core: ExcitingCurve | None = None
    loop: float = 0.0

    def form_factor_at(self, voltage: float) -> float | None:
        """RMS over mean rectified value of the current at a voltage, None where its wave is not known."""
        return None if self.form_factor is None else float(np.interp(voltage, self.voltage, self.form_factor))

    def crest_factor_at(self, voltage: float) -> float | None:
        """Peak over RMS of the current at a voltage, None where its wave is not known."""
        return None if self.crest_factor is None else float(np.interp(voltage, self.voltage, self.crest_factor))

    def current_at(self, voltage: float) -> float:
        """Exciting current [A] at a voltage, straight between points in logarithms."""
        return self._at(voltage, self._logs[1])

    def watts_at(self, voltage: float) -> float:
        """Core loss [W] at a voltage, straight between points in logarithms."""
        return self._at(voltage, self._logs[2])

    def u_log_current_at(self, voltage: float) -> float:
        return float(np.interp(voltage, self.voltage, self.u_log_current))

    def u_log_watts_at(self, voltage: float) -> float:
        return float(np.interp(voltage, self.voltage, self.u_log_watts))

    def slope_at(self, voltage: float) -> float:
        """d ln I / d ln V: how a doubt in the volts grows in the current."""
        step = 1.01
        return math.log(self.current_at(voltage * step) / self.current_at(voltage / step)) / (2 * math.log(step))

    @cached_property
    def _logs(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        return np.log(self.voltage), np.log(self.current), np.log(self.core_watts)

    def _at(self, voltage: float, y: NDArray[np.float64]) -> float:
        if voltage <= 0:
            return 0.0
        x = self._logs[0]
        at = math.log(voltage)
        if at <= x[0]:
            return math.exp(float(y[0] + (at - x[0]) * (y[1] - y[0]) / (x[1] - x[0])))
        if at >= x[-1]:
            return math.exp(float(y[-1] + (at - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2])))
        return math.exp(float(np.interp(at, x, y)))


def loop_beside(
    volts: NDArray[np.float64], amps: NDArray[np.float64], watts: NDArray[np.float64], loop: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Current [A] and watts (n,) of a core beside a closed loop that takes `loop` [S] of the fed winding's volts.

    A loop's current is in phase with the volts: it adds to the working part of the core's, and leaves the reactive one.
    """
    more = watts + loop * volts**2
    reactive_squared = np.maximum(0.0, amps**2 - (watts / volts) ** 2)
    return np.sqrt(reactive_squared + (more / volts) ** 2), more


@dataclass(frozen=True)
class CoreRead:
    """What was read of a core as it was found: its currents, its watts too, and both down to a few volts."""

    amps: bool = False
    watts: bool = False
    low: bool = False


@dataclass(frozen=True)
class Variant:
    """How a unit differs from its design; the default is a good unit.

    turns_added: span or winding name -> turns more (less) than designed;  reversed_spans: names of reversed windings or
    sections;  swapped: two windings whose leads are exchanged;  open_winding;  joint_added [m];  stack_factor;
    loop_conductance [S]: of a shorted turn or closed screen, as one turn round the core.
    resistance_factor: winding -> times its ohms;  ohms_added: winding or section -> ohms in series with it;
    field_factor, loss_factor: of the steel, times the field that it needs and the loss that it makes.
    """

    turns_added: dict[str, float] = field(default_factory=dict)
    reversed_spans: tuple[str, ...] = ()
    swapped: tuple[str, str] | None = None
    open_winding: str | None = None
    joint_added: float = 0.0
    stack_factor: float = 1.0
    loop_conductance: float = 0.0
    resistance_factor: dict[str, float] = field(default_factory=dict)
    ohms_added: dict[str, float] = field(default_factory=dict)
    field_factor: float = 1.0
    loss_factor: float = 1.0


GOOD = Variant()
"""A unit as designed."""


@dataclass(frozen=True)
class Expectation:
    """Everything that a unit should read.

    fed: the primary's name;  supply voltage [V], frequency [Hz];  spans by name, the primary among them;
    curve: of the primary, at `frequency`;  flux_density [T] at nominal;  stack [m];
    u_log_drop: u of ln of the drop in the primary while it excites the core;
    window_permeance [H per turn squared]: of the winding space, for the flux that does not keep to the core;
    leakage_ohms: of each secondary against the primary, at `frequency` and on its own side, where it is known;
    screen_ohms: [ohm] once round each screen's foil, where its size is known;
    drawn: signed turns of each span as the design has them;
    core_read: what of the curve is that of these laminations as they were read before;
    missing: what the job does not say, and what can't be expected for it.
    """

    fed: str
    voltage: float
    frequency: float
    spans: dict[str, Span]
    curve: ExcitingCurve | None
    flux_density: float | None
    stack: float | None
    u_log_drop: float
    missing: tuple[str, ...] = ()
    window_permeance: float = 0.0
    leakage_ohms: dict[str, float] = field(default_factory=dict)
    drawn: dict[str, float] = field(default_factory=dict)
    screen_ohms: dict[str, float] = field(default_factory=dict)
    core_read: CoreRead = CoreRead()

    @property
    def design_fed_turns(self) -> float:
        """Turns of the primary as the design has them."""
        return abs(self.drawn.get(self.fed, self.fed_span.turns))

    def reversed_against_design(self, name: str) -> bool:
        """Whether a span's turns run the other way than drawn."""
        return self.spans[name].turns * self.drawn.get(name, self.spans[name].turns) < 0

    @property
    def fed_span(self) -> Span:
        return self.spans[self.fed]

    def ratio(self, name: str) -> float:
        """Signed turns of a span over those of the primary."""
        return self.spans[name].turns / self.fed_span.turns

    def drop(self, voltage: float) -> float:
        """Fraction of the volts on the primary that its own resistance takes while it feeds the core: R1 P / V2."""
        resistance = self.fed_span.resistance
        if self.curve is None or resistance is None or not math.isfinite(resistance) or voltage <= 0:
            return 0.0
        return min(0.2, resistance * self.curve.watts_at(voltage) / voltage**2)

    def leakage(self, voltage: float) -> float:
        """Most that a winding's volts may differ from its turns, as a fraction, for the flux beside the core.

        The exciting ampere turns drive a flux through the winding space too; a winding sees more or less of it by its
        place.  It counts at a few volts, where the core's permeability is low: 0.3 to 0.8 T is the best place for
        ratios (common practice, no source).
        """
        if self.curve is None or voltage <= 0:
            return 0.003
        turns = abs(self.fed_span.turns)
        peak_core_flux = math.sqrt(2.0) * voltage / (2 * math.pi * self.frequency * turns)
        peak_ampere_turns = math.sqrt(2.0) * self.curve.current_at(voltage) * turns
        return min(0.05, self.window_permeance * peak_ampere_turns / peak_core_flux)

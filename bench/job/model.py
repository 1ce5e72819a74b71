"""A job: one transformer with all that is known about it; it may be half empty."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from bench.job.as_found import AsFound, CurvePoint
from bench.job.core import Core
from bench.job.fields import Fraction, Hertz, Metres, Model, SignedRatio, Tesla, Volts
from bench.job.load import Load, check_loads
from bench.job.winding import Role, Screen, Winding, check_parallel

__all__ = [
    "AsFound",
    "CurvePoint",
    "ExpectedReading",
    "Identity",
    "Insulation",
    "Job",
    "Load",
    "MadeFor",
    "Supply",
    "Targets",
]


class Identity(Model):
    """Which unit this is; `number` names its record and never changes."""

    number: Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")]
    name: str = ""
    equipment: str = ""
    maker: str = ""
    model: str = ""
    serial: str = ""
    owner: str = ""
    fault: str = ""
    received: str = ""
    note: str = ""


class Supply(Model):
    """The supply that the rewound unit is to run on."""

    voltage: Volts
    frequency: Hertz
    tolerance: Fraction = 0.10


class MadeFor(Model):
    """The supply that the unit was made for; `or_frequency` where the plate names two, such as 50/60 Hz."""

    voltage: Volts
    frequency: Hertz
    or_frequency: Hertz | None = None


class Insulation(Model):
    """What lies between the copper, as far as it is settled."""

    former_thickness: Metres | None = None
    margin: Metres | None = None
    between_layers: Metres | None = None
    between_windings: Metres | None = None
    note: str = ""


class Targets(Model):
    """What the rewound unit is asked to do.

    flux_density: at nominal volts;  flux_density_high: at the supply's upper limit;  volts_within: how far a winding's
    volts may lie from its rated ones, since turns are whole;  objective: what is made least;  order: whether the
    windings after the first, and after those that a screen lies on, may lie in another order;  keep: windings that stay
    as they are;  window_fill: the most of the window's width that the build may take, bulge and insulation included.
    """

    flux_density: Tesla | None = None
    flux_density_high: Tesla | None = None
    temperature_class: Literal["A", "E", "B", "F", "H", ""] = ""
    safety_class: Literal["I", "II", ""] = ""
    rise: str = ""
    volts_within: Fraction = 0.03
    objective: Literal["loss", "temperature", "copper"] = "temperature"
    order: Literal["as given", "free"] = "as given"
    keep: tuple[str, ...] = ()
    window_fill: Annotated[float, Field(gt=0.2, le=1.0)] = 0.95
    note: str = ""


class ExpectedReading(Model):
    """A reading that somebody knows better than arithmetic: a service sheet, a sister unit."""

    winding: str
    open_circuit_voltage: Volts
    tolerance: SignedRatio = 0.02
    source: str = ""


class Job(Model):
    """One transformer; windings stand in the order in which they lie on the former, inside first."""

    schema_: Literal[1] = Field(alias="schema")
    identity: Identity
    core: Core = Core()
    supply: Supply | None = None
    made_for: MadeFor | None = None
    winding: tuple[Winding, ...] = ()
    screen: tuple[Screen, ...] = ()
    insulation: Insulation = Insulation()
    targets: Targets = Targets()
    load: tuple[Load, ...] = ()
    expected: tuple[ExpectedReading, ...] = ()
    as_found: AsFound | None = None

    @model_validator(mode="after")
    def _names_agree(self) -> Job:
        names = [winding.name for winding in self.winding] + [screen.name for screen in self.screen]
        for reserved in ("core", "supply", "resistor", "earth", "band"):
            if reserved in names:
                raise ValueError(f"a winding or screen is named {reserved!r}, expected another name")
        doubled = {name for name in names if names.count(name) > 1}
        if doubled:
            raise ValueError(f"more than one winding or screen is named {', '.join(sorted(doubled))}")
        wound = {winding.name for winding in self.winding}
        for screen in self.screen:
            if screen.after not in wound:
                raise ValueError(f"screen {screen.name} lies after {screen.after!r}, expected a winding's name")
        check_parallel(self.winding)
        check_loads(self.load, self.winding)
        for reading in self.expected:
            if reading.winding not in wound:
                raise ValueError(f"expected reading for {reading.winding!r}, expected a winding's name")
        if sum(winding.role is Role.PRIMARY for winding in self.winding) > 1:
            raise ValueError("more than one winding has the role primary, expected one (with taps if need be)")
        return self

    @property
    def primary(self) -> Winding | None:
        return next((winding for winding in self.winding if winding.role is Role.PRIMARY), None)

    @property
    def secondaries(self) -> tuple[Winding, ...]:
        return tuple(winding for winding in self.winding if winding.role is Role.SECONDARY)

    def marks(self, terminal: str) -> str:
        """Tag and colour of the lead behind `winding.lead` or `screen.lead`; empty where it has none."""
        body, _, lead = terminal.partition(".")
        screen = next((one for one in self.screen if one.name == body), None)
        if screen is not None:
            return str({"lead": screen.lead, "far_lead": screen.far_lead}.get(lead) or "")
        try:
            return str(self.get_winding(body).lead(lead))
        except KeyError:
            return ""

    def get_winding(self, name: str) -> Winding:
        """The winding of that name; raises KeyError."""
        for winding in self.winding:
            if winding.name == name:
                return winding
        raise KeyError(name)

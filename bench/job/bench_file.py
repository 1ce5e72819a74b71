"""The bench file: what the person owns, said once."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    GetJsonSchemaHandler,
    PrivateAttr,
    field_validator,
    model_validator,
)

from bench.job.fields import Amps, AnyHertz, Kilograms, Metres, Model, Ohms, Volts, Watts
from bench.job.records_address import server_address
from bench.job.wire import WireSize
from bench.quantities import Dimension, QuantityError, parse

__all__ = [
    "AccuracyText",
    "BenchFile",
    "Calibration",
    "CounterEntry",
    "FootSwitchEntry",
    "Limiter",
    "LoadResistor",
    "MeterAccuracy",
    "MeterEntry",
    "RecordsServer",
    "ReelOfWire",
    "Resistor",
    "WattmeterEntry",
    "Winder",
]

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_ACCURACY = re.compile(
    rf"\s*(?:\+-|±)?\s*{_NUMBER}\s*%\s*(?:rdg|of reading)?\s*"
    rf"(?:\+\s*{_NUMBER}\s*%\s*(?:of )?(?:range|full scale|fs)\s*)?"
    rf"(?:\+\s*{_NUMBER}\s*(?:counts?|digits?|dgt)?)?\s*\Z"
)


class AccuracyText(Model):
    """Accuracy as a leaflet gives it: fractions of the reading and of the range, and counts of the last digit."""

    of_reading: float
    of_range: float = 0.0
    counts: float = 0.0


def _accuracy(value: Any) -> Any:
    if isinstance(value, AccuracyText):
        return value
    match = _ACCURACY.match(value) if isinstance(value, str) else None
    if match is None:
        raise ValueError(f"{value!r} is no accuracy, expected such as '1.2 % + 3 counts' or '0.06 % + 0.03 % of range'")
    percent, of_range, counts = (float((group or "0").replace(",", ".")) for group in match.groups())
    return AccuracyText(of_reading=percent / 100, of_range=of_range / 100, counts=counts)


def _read_by_a_person(text: AccuracyText) -> AccuracyText:
    if text.of_range:
        raise ValueError("percent of range where the range is not known, expected such as '1.2 % + 3 counts'")
    return text


class _Leaflet:
    """Tells an editor how an accuracy is written."""

    def __get_pydantic_json_schema__(self, core: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        example = "0.06 % + 0.03 % of range" if self._of_range else "1.2 % + 3 counts"
        return {
            "type": "string",
            "pattern": f"^{_ACCURACY.pattern.replace(chr(92) + 'Z', '$')}",
            "description": f"Accuracy as a leaflet gives it, such as {example!r}.",
            "examples": [example],
        }

    def __init__(self, *, of_range: bool) -> None:
        self._of_range = of_range


AnyAccuracy = Annotated[AccuracyText, BeforeValidator(_accuracy), _Leaflet(of_range=True)]
Accuracy = Annotated[AnyAccuracy, AfterValidator(_read_by_a_person), _Leaflet(of_range=False)]


class MeterAccuracy(Model):
    """From the meter's leaflet, at mains frequency; the defaults are a common 3.5 digit hand-held meter.

    The defaults are usual leaflet figures (memory); write those of your own meter.
    """

    voltage_ac: Accuracy = AccuracyText(of_reading=0.012, counts=5)
    current_ac: Accuracy = AccuracyText(of_reading=0.02, counts=5)
    resistance: Accuracy = AccuracyText(of_reading=0.008, counts=3)
    frequency: Accuracy = AccuracyText(of_reading=0.005, counts=2)


def _instrument(text: str, example: str) -> str:
    profile, at, port = text.partition("@")
    if text != "hand" and not (profile.strip() and at and port.strip()):
        raise ValueError(f"{text!r} is no instrument, expected PROFILE@PORT such as {example}, or hand")
    return text


class Calibration(Model):
    """What a certificate says of a meter on a line, in the place of its profile's accuracy.

    range: the full scale with its unit, such as '10 V'; every range where it is not said.  The band is that of the
    frequency at which alternating quantities are read; the job's supply chooses.
    """

    quantity: Literal[
        "voltage_ac", "voltage_dc", "current_ac", "current_dc", "resistance", "resistance_4w", "frequency"
    ]
    accuracy: AnyAccuracy
    range: str | None = None
    from_frequency: AnyHertz | None = None
    to_frequency: AnyHertz | None = None

    @field_validator("range")
    @classmethod
    def _a_value(cls, text: str | None) -> str | None:
        if text is not None:
            _full_scale(text, None)
        return text

    @model_validator(mode="after")
    def _of_its_quantity(self) -> Calibration:
        if self.range is not None:
            _full_scale(self.range, self.quantity)
        if self.from_frequency and self.to_frequency and self.from_frequency > self.to_frequency:
            raise ValueError("from_frequency lies above to_frequency")
        return self

    @property
    def full_scale(self) -> float | None:
        """Of the range [SI], None for every range."""
        return None if self.range is None else _full_scale(self.range, self.quantity)


_DIMENSION_OF = {
    "voltage": Dimension.VOLTAGE,
    "current": Dimension.CURRENT,
    "resistance": Dimension.RESISTANCE,
    "frequency": Dimension.FREQUENCY,
}


def _full_scale(text: str, quantity: str | None) -> float:
    names = _DIMENSION_OF if quantity is None else (quantity.partition("_")[0],)
    problem = ""
    for name in names:
        try:
            return parse(text, _DIMENSION_OF[name])
        except QuantityError as error:
            problem = str(error)
    raise ValueError(f"range: {problem}")


_BY_HAND = ("test_current", "lacks", "response")


class MeterEntry(Model):
    """One meter: how it is reached, and how good it is."""

    name: str
    use: str = Field(description="PROFILE@PORT, or hand")
    serial: str = ""
    calibrated: str = ""
    calibration_due: str = ""
    certificate: str = ""
    lead_resistance: Ohms | None = None
    test_current: Amps | None = Field(
        default=None, description="what its ohmmeter sends through a winding, at most, where it is read by hand"
    )
    accuracy: MeterAccuracy = MeterAccuracy()
    calibration: tuple[Calibration, ...] = Field(
        default=(), description="of a meter on a line: its own accuracy in the place of the profile's"
    )
    lacks: tuple[Literal["current_ac", "frequency"], ...] = Field(
        default=(), description="what a hand-held meter has no range for"
    )
    response: Literal["true rms", "mean"] | None = Field(
        default=None, description="what a hand-held meter responds to; where it is not said, either is allowed for"
    )

    @field_validator("use")
    @classmethod
    def _reachable(cls, text: str) -> str:
        return _instrument(text, "scpi@/dev/ttyUSB0")

    @model_validator(mode="after")
    def _of_its_kind(self) -> MeterEntry:
        """What would be passed over is refused: its owner would think that it counts."""
        by_hand = self.use == "hand"
        if by_hand and self.calibration:
            raise ValueError("calibration: only of a meter on a line; of one that is read by hand, accuracy says it")
        for key in _BY_HAND:
            if not by_hand and key in self.model_fields_set:
                raise ValueError(f"{key}: only of a meter with use = 'hand'; of one on a line its profile says it")
        return self


class CounterEntry(Model):
    """One turn counter."""

    name: str
    use: str = Field(description="PROFILE@PORT, or hand")
    serial: str = ""

    @field_validator("use")
    @classmethod
    def _reachable(cls, text: str) -> str:
        return _instrument(text, "hall@/dev/ttyACM0")


class Limiter(Model):
    """The lamp or resistor in series at first power."""

    kind: Literal["lamp", "resistor"] = "lamp"
    power: Watts | None = None
    voltage: Volts | None = None
    resistance: Ohms | None = None


class Resistor(Model):
    """A known resistor, for current as volts across it and for watts from three voltages."""

    resistance: Ohms
    tolerance: Annotated[float, Field(gt=0, le=0.2)] = 0.01
    power: Watts | None = None


class LoadResistor(Model):
    """A resistor that may be hung on a winding; `count` where there are several alike.  power: borne for minutes."""

    resistance: Ohms
    power: Watts
    tolerance: Annotated[float, Field(gt=0, le=0.2)] = 0.05
    count: Annotated[int, Field(strict=True, ge=1, le=20)] = 1


class WattmeterEntry(Model):
    """A wattmeter that a person reads; accuracy at the low power factor of a core, as its leaflet gives it.

    The default is a usual figure for a plug-in wattmeter at low power factor (memory); write your own meter's.
    """

    name: str = "wattmeter"
    accuracy: Accuracy = AccuracyText(of_reading=0.03, counts=5)
    calibrated: str = ""
    certificate: str = ""


class ReelOfWire(Model):
    """Wire on the shelf."""

    size: WireSize
    mass: Kilograms | None = None
    batch: str = ""
    overall: Metres | None = None


class Winder(Model):
    """What the winding machine, and whoever stands at it, can wind: bare wire from and to, and wires in hand."""

    thinnest: Metres | None = None
    thickest: Metres | None = None
    strands: Annotated[int, Field(strict=True, ge=1, le=16)] = 4


_KEYS = {"space": " ", "enter": "\n", "tab": "\t"}


class FootSwitchEntry(Model):
    """A foot switch on a serial port, or one that acts as a keyboard and sends a key; the space bar where none is said.

    line: the modem line that it closes, or `bytes` where something is sent at each press.
    """

    port: str | None = None
    line: Literal["cts", "dsr", "ri", "cd", "bytes"] = "cts"
    key: str | None = None

    @field_validator("port")
    @classmethod
    def _serial(cls, text: str | None) -> str | None:
        if text is not None and (not text or "@" in text or "://" in text):
            raise ValueError(f"{text!r} is no serial port, expected such as '/dev/ttyUSB0' or 'COM5'")
        return text

    @field_validator("key")
    @classmethod
    def _typed(cls, text: str | None) -> str | None:
        if text is None or text.lower() in _KEYS:
            return text and text.lower()
        if len(text) != 1 or not text.isprintable():
            raise ValueError(f"{text!r} is no key, expected 'space', 'enter', 'tab' or one character")
        return text

    @model_validator(mode="before")
    @classmethod
    def _one_way(cls, table: Any) -> Any:
        if not isinstance(table, dict) or ("port" in table and "key" not in table):
            return table
        if "port" in table:
            raise ValueError("both port and key, expected one of them")
        if "line" in table:
            raise ValueError("line without port, expected port, or key alone")
        return {"key": "space", **table}

    @property
    def character(self) -> str | None:
        """What the key puts in, None for a switch on a port."""
        return None if self.key is None else _KEYS.get(self.key, self.key)


class Workshop(Model):
    name: str = ""
    operator: str = ""
    address: str = ""


def _server(text: str) -> str:
    server_address(text)
    return text


class RecordsServer(Model):
    """Where a workshop's benches share their records.  server: a PostgreSQL URL without a password;  bench: what the
    others call this one, the computer's name where it is not said."""

    server: Annotated[str, AfterValidator(_server)]
    bench: str = Field(default="", max_length=30)


class BenchFile(Model):
    """What stands on this bench."""

    schema_: Literal[1] = Field(alias="schema")
    workshop: Workshop = Workshop()
    meter: tuple[MeterEntry, ...] = ()
    counter: tuple[CounterEntry, ...] = ()
    limiter: Limiter | None = None
    resistor: Resistor | None = None
    load_resistor: tuple[LoadResistor, ...] = ()
    wattmeter: WattmeterEntry | None = None
    low_voltage_source: Volts | None = Field(default=None, description="isolated source for ratios")
    insulation_test_voltage: Volts | None = None
    wire: tuple[ReelOfWire, ...] = ()
    winder: Winder = Winder()
    foot_switch: FootSwitchEntry | None = None
    records: RecordsServer | None = None
    _text: str = PrivateAttr(default="")

    @property
    def text(self) -> str:
        """As it stands in its file, for the record; empty where there is none."""
        return self._text

    def written_as(self, text: str) -> BenchFile:
        """The same, which `text` says."""
        bench = self.model_copy()
        bench._text = text
        return bench

    @model_validator(mode="after")
    def _names_once(self) -> BenchFile:
        for kind, entries in (("meter", self.meter), ("counter", self.counter)):
            names = [entry.name for entry in entries]
            doubled = {name for name in names if names.count(name) > 1}
            if doubled:
                raise ValueError(f"more than one {kind} is named {', '.join(sorted(doubled))}")
        return self

    @model_validator(mode="after")
    def _ports_once(self) -> BenchFile:
        """Both are open at once while a winding goes on, and a port is opened by one only."""
        port = None if self.foot_switch is None else self.foot_switch.port
        for entry in self.counter:
            if port is not None and entry.use.partition("@")[2].strip() == port:
                raise ValueError(f"foot_switch.port: {port} is the port of counter {entry.name}, expected another")
        return self

"""The bench file: what the person owns, said once."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from bench.job.fields import Kilograms, Metres, Model, Ohms, Volts, Watts
from bench.job.wire import WireSize

__all__ = [
    "AccuracyText",
    "BenchFile",
    "CounterEntry",
    "FootSwitchEntry",
    "Limiter",
    "LoadResistor",
    "MeterAccuracy",
    "MeterEntry",
    "ReelOfWire",
    "Resistor",
    "Winder",
]

_ACCURACY = re.compile(
    r"\s*(?:\+-|±)?\s*(\d+(?:[.,]\d+)?)\s*%\s*(?:rdg|of reading)?\s*"
    r"(?:\+\s*(\d+(?:[.,]\d+)?)\s*(?:counts?|digits?|dgt)?)?\s*\Z"
)


class AccuracyText(Model):
    """Accuracy as a meter's leaflet gives it: fraction of the reading, and counts of the last digit."""

    of_reading: float
    counts: float = 0.0


def _accuracy(value: Any) -> Any:
    if isinstance(value, AccuracyText):
        return value
    match = _ACCURACY.match(value) if isinstance(value, str) else None
    if match is None:
        raise ValueError(f"{value!r} is no accuracy, expected such as '1.2 % + 3 counts'")
    percent, counts = match.group(1), match.group(2) or "0"
    return AccuracyText(of_reading=float(percent.replace(",", ".")) / 100, counts=float(counts.replace(",", ".")))


Accuracy = Annotated[AccuracyText, BeforeValidator(_accuracy)]


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


class MeterEntry(Model):
    """One meter: how it is reached, and how good it is."""

    name: str
    use: str = Field(description="PROFILE@PORT, or hand")
    serial: str = ""
    calibrated: str = ""
    calibration_due: str = ""
    certificate: str = ""
    lead_resistance: Ohms | None = None
    accuracy: MeterAccuracy = MeterAccuracy()

    @field_validator("use")
    @classmethod
    def _reachable(cls, text: str) -> str:
        return _instrument(text, "scpi@/dev/ttyUSB0")


class CounterEntry(Model):
    """One turn counter."""

    name: str
    use: str = Field(description="PROFILE@PORT, or hand")

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


class BenchFile(Model):
    """What stands on this bench."""

    schema_: Literal[1] = Field(alias="schema")
    workshop: Workshop = Workshop()
    meter: tuple[MeterEntry, ...] = ()
    counter: tuple[CounterEntry, ...] = ()
    limiter: Limiter | None = None
    resistor: Resistor | None = None
    load_resistor: tuple[LoadResistor, ...] = ()
    low_voltage_source: Volts | None = Field(default=None, description="isolated source for ratios")
    insulation_test_voltage: Volts | None = None
    wire: tuple[ReelOfWire, ...] = ()
    winder: Winder = Winder()
    foot_switch: FootSwitchEntry | None = None

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

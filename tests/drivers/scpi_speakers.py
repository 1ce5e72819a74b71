"""Meters of six SCPI dialects for tests. Each takes one message without its terminator and gives bytes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from .speaker import AC, AMPS, DC, FOUR, OHMS, Refusal, ScpiSpeaker, Speaker


class ConfRead(ScpiSpeaker):
    """CONF, CONF?, READ?, at 9600 with plain LF."""

    names: Mapping[str, str] = {"VOLT:AC": AC, "VOLT:DC": DC, "CURR:AC": AMPS, "RES": OHMS, "FRES": FOUR}

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        if head.startswith("CONF:"):
            if self.broken or head[5:] not in self.names:
                raise Refusal("Settings conflict", command=False)
            self.function, self.full = self.names[head[5:]], float(argument)
            return None
        if text == "CONF?":
            name = next(name for name, function in self.names.items() if function == self.function)
            return f'"{name} {self.full:+.6E},+1.000000E-05"'
        if text == "READ?":
            return "+9.90000000E+37" if self.over else self.number()
        return self.common(text)


class FuncQuoted(ScpiSpeaker):
    """FUNC "VOLT:AC", its range apart, with everything of the last user left on; CR LF back, ^X clears."""

    says = b"\r\n"
    clears = b"\x18"
    identity = "SOMEBODY,F5,77123,1.0"
    clean = '0,"No error"'
    names: Mapping[str, str] = {"VOLT:AC": AC, "VOLT:DC": DC, "CURR:AC": AMPS, "RES": OHMS, "FRES": FOUR}

    def __init__(self) -> None:
        super().__init__()
        self.continuous = True
        self.source = "BUS"
        self.math = True
        self.ranges = dict.fromkeys(self.names, 1000.0)

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        name = next(name for name, function in self.names.items() if function == self.function)
        match head:
            case "INIT:CONT":
                self.continuous = argument == "ON"
            case "TRIG:SOUR":
                self.source = argument
            case "CALC:STAT":
                self.math = argument == "ON"
            case "TRIG:COUN" | "DET:BAND":
                float(argument)
            case "*OPC?":
                return "1"
            case "FUNC":
                if argument.strip('"') not in self.names or not argument.startswith('"') or self.broken:
                    raise Refusal("Illegal parameter value", command=False)
                self.function = self.names[argument.strip('"')]
            case "FUNC?":
                return f'"{name}"'
            case "READ?":
                if self.source == "BUS" or self.continuous:
                    raise Refusal("Trigger deadlock", command=False)
                self.full = self.ranges[name]
                value = 2.0 * self.truth[self.function] if self.math else self.truth[self.function]
                return "+9.9E37" if self.over else f"{value:+.6E}"
            case _ if head.endswith(":RANG") and head[:-5] in self.names:
                self.ranges[head[:-5]] = float(argument)
            case _ if head.endswith(":RANG?") and head[:-6] in self.names:
                return f"{self.ranges[head[:-6]]:.4E}"
            case _:
                return self.common(text)
        return None


class MeasOnly(Speaker):
    """MEAS only, the event status register only; obeys CR LF, says LF CR; not a word about what went wrong."""

    hears = b"\r\n"
    says = b"\n\r"
    names: Mapping[str, str] = {"VOLT:AC": AC, "VOLT:DC": DC, "CURR:AC": AMPS, "RES": OHMS}

    def __init__(self) -> None:
        super().__init__()
        self.status = 128  # power on

    def reply(self, text: str) -> str | None:
        if text == "*IDN?":
            return "SOMEBODY, S 5, 1.1"
        if text == "*CLS":
            self.status = 0
            return None
        if text == "*ESR?":
            status, self.status = self.status, 0
            return str(status)
        found = re.fullmatch(r"MEAS:([A-Z:]+)\? (\S+)", text)
        if found is None or found[1] not in self.names:
            raise Refusal
        if self.broken:
            raise Refusal(command=False)
        self.function, self.full = self.names[found[1]], float(found[2])
        return "1.2E8" if self.over else f"{self.truth[self.function]:.5f}"

    def refused(self, refusal: Refusal) -> None:
        self.status |= 32 if refusal.command else 16


class InitFetch(ScpiSpeaker):
    """CONF, INIT, FETC?; three numbers in a list, in two pieces; five fields of identity."""

    says = b"\r\n"
    clears = b"\x03"
    identity = "SOMEBODY,I6,S-000123,1.2,0.9"
    error_query = "SYST:ERR:NEXT?"
    names: Mapping[str, str] = {"VOLT:AC": AC, "VOLT:DC": DC, "CURR:AC": AMPS, "RES": OHMS, "FRES": FOUR}

    def __init__(self) -> None:
        super().__init__()
        self.taken: str | None = None
        self.count = 0
        self.elements = 1

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        match head:
            case "*OPC?":
                return "1"
            case "*RST":
                self.elements = 1
            case "TRIG:SOUR" | "SAMP:COUN":
                pass
            case "FORM:ELEM":
                self.elements = len(argument.split(","))
            case "CONF?":
                name = next(name for name, function in self.names.items() if function == self.function)
                return f'"{name} {self.full:g},0.0001"'
            case "INIT":
                self.count += 1
                self.taken = None if self.broken else ("+9.9E+37" if self.over else self.number())
            case "FETC?":
                if self.taken is None:
                    raise Refusal("Data corrupt or stale", command=False)
                return ",".join([self.taken, f"+{self.count * 0.2:.3f}", f"{self.count:+06d}"][: self.elements])
            case _ if head.removeprefix("CONF:") in self.names:
                self.function, self.full, self.taken = self.names[head[5:]], float(argument), None
            case _:
                return self.common(text)
        return None


class Displayed(ScpiSpeaker):
    """Gives the value on its display, which a question does not renew: the first after a change is the old one."""

    hears = b"\r\n"
    says = b"\r\n"
    longest = 64
    identity = "SOMEBODY,  D45,  X12,  1.0"
    clean = '0, "No error"'
    names: Mapping[str, str] = {"VOLT:AC": AC, "VOLT:DC": DC, "CURR:AC": AMPS, "RES": OHMS}
    largest: Mapping[str, float] = {AC: 750.0, DC: 1000.0, AMPS: 10.0, OHMS: 2e7}

    def __init__(self) -> None:
        super().__init__()
        self.on_display = "-0.0000E+0"

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        match head:
            case "AUTO" | "HOLD" | "REL":
                pass
            case "FUNC1":
                if self.broken or argument.strip('"') not in self.names:
                    raise Refusal("Illegal parameter value", command=False)
                self.function = self.names[argument.strip('"')]
            case "FUNC1?":
                name = next(name for name, function in self.names.items() if function == self.function)
                return f'"{name}"'.replace(":", " ")
            case "VAL1?":
                shown, self.full = self.on_display, self.largest[self.function]
                self.on_display = "+1.0000E+9" if self.over else f"{self.truth[self.function]:+.4E}"
                return shown
            case _:
                return self.common(text)
        return None


class MilliOhm(ScpiSpeaker):
    """Four wires and DC volts, ranges with their unit, CR LF NUL; a banner, and chatter behind a #."""

    says = b"\r\n\0"
    identity = "SOMEBODY, R5, nothing, 5551, 0.3"
    names: Mapping[str, str] = {"FRES": FOUR, "VOLT:DC": DC}
    words: Mapping[str, float] = {
        "0.2OHM": 0.2, "2OHM": 2.0, "20OHM": 20.0, "200OHM": 200.0, "2KOHM": 2e3, "200MV": 0.2, "2V": 2.0, "20V": 20.0,
    }  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self.function = FOUR
        self.leads_open = False

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        name = next(name for name, function in self.names.items() if function == self.function)
        if head == "SYST:ERR?":
            return self.errors.popleft() if self.errors else "0"
        if head == "SENS:FUNC" and argument.strip("'") in self.names and argument.startswith("'"):
            self.function = self.names[argument.strip("'")]
            return None
        if head == "SENS:FUNC?":
            return f"'{name}'"
        if head == f"SENS:{name}:RANG" and argument in self.words and not self.broken:
            self.full = self.words[argument]
            return None
        if head == f"SENS:{name}:RANG?":
            return f"{self.full:+.3E}"
        if text == "MEAS?":
            if self.leads_open:
                return "OPEN"
            unit = "OHM" if self.function == FOUR else "V"
            return f"# 23.4 C\r\n\0> {self.full},{unit}" if self.over else f"# 23.4 C\r\n\0{self.number()},{unit}"
        return self.common(text)

    def refused(self, refusal: Refusal) -> None:
        self.errors.append(f"+1203: {refusal}")

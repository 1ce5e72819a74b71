"""Meters for tests that speak no SCPI: short words and a prompt, numbers and OK, a dial and units."""

from __future__ import annotations

from collections.abc import Mapping

from .speaker import AC, AMPS, DC, OHMS, Refusal, Speaker


class WordsPrompt(Speaker):
    """Short words, echo, prompt, unit behind the number; CR obeyed, CR LF said, ^C clears."""

    hears = b"\r"
    says = b"\r\n"
    clears = b"\x03"
    echoes = True
    prompts = (b"=>", b"?>", b"!>")
    longest = 350
    words: Mapping[str, str] = {"VAC": AC, "VDC": DC, "AAC": AMPS, "OHMS": OHMS}
    scales: Mapping[str, tuple[float, ...]] = {
        AC: (0.3, 3.0, 30.0, 300.0, 750.0),
        DC: (0.3, 3.0, 30.0, 300.0, 1000.0),
        AMPS: (0.03, 0.1, 10.0),
        OHMS: (300.0, 3e3, 3e4, 3e5, 3e6, 3e7),
    }

    def __init__(self) -> None:
        super().__init__()
        self.index = 1
        self.with_unit = False

    def reply(self, text: str) -> str | None:
        head, _, argument = text.partition(" ")
        word = next(word for word, function in self.words.items() if function == self.function)
        match head:
            case "REMS" | "LOCS":
                self.remote = head == "REMS"
            case "FORMAT":
                self.with_unit = argument == "2"
            case "TRIGGER" | "RATE" | "HOLDCLR" | "RELCLR":
                pass
            case "FUNC?":
                return word
            case "RANGE?":
                return str(self.index)
            case "RANGE":
                if self.broken or not 1 <= int(argument) <= len(self.scales[self.function]):
                    raise Refusal(command=False)
                self.index = int(argument)
            case "MEAS?":
                self.full = self.scales[self.function][self.index - 1]
                number = "+1E+9" if self.over else f"{self.truth[self.function]:+.4E}"
                return f"{number} {word}" if self.with_unit else number
            case _ if head in self.words:
                self.function, self.index = self.words[head], 1
            case _:
                raise Refusal
        return None


class Numbered(Speaker):
    """Functions and ranges are numbers; OK and nOK; a decimal comma; > where it is over range; a bare LF is remote."""

    says = b"\r"
    acknowledges = (b"OK", b"nOK")
    longest = 40
    numbers: Mapping[int, str] = {1: DC, 2: AC, 4: AMPS, 5: OHMS}
    scales: Mapping[str, tuple[float, ...]] = {
        AC: (0.2, 2.0, 20.0, 200.0, 700.0),
        DC: (0.2, 2.0, 20.0, 200.0, 1000.0),
        AMPS: (0.002, 0.02, 0.2, 2.0),
        OHMS: (200.0, 2e3, 2e4, 2e5, 2e6, 2e7),
    }

    def __init__(self) -> None:
        super().__init__()
        self.index = 1

    def hear(self, line: bytes) -> bytes:
        if not line:
            self.remote = True
        return super().hear(line)

    def reply(self, text: str) -> str | None:
        number = next(number for number, function in self.numbers.items() if function == self.function)
        if text == "ID?":
            return "SYSTEM METER N4/1.07"
        if text == "ER?":
            return self.errors.popleft() if self.errors else "E00"
        if text == "FN?":
            return f"{number:02d}"
        if text == "RG?":
            return str(self.index)
        if text == "RD?":
            self.full = self.scales[self.function][self.index - 1]
            value = self.full if self.over else self.truth[self.function]
            return (">" if self.over else "") + f"{value:.4f}".replace(".", ",")
        if text == "GL":
            self.remote = False
            return None
        if not self.remote:
            raise Refusal("local")
        head, _, argument = text.partition(" ")
        if head == "FN" and int(argument) in self.numbers and not self.broken:
            self.function, self.index = self.numbers[int(argument)], 1
        elif head == "RG" and 1 <= int(argument) <= len(self.scales[self.function]):
            self.index = int(argument)
        elif head not in ("TR", "NU"):
            raise Refusal("not possible")
        return None

    def refused(self, refusal: Refusal) -> None:
        self.errors.append(f"E07 {refusal}")


class HandHeld(Speaker):
    """A dial, ranges of its own, 2000 counts, units with their prefix; complains of its battery unasked."""

    hears = b"\r"
    says = b"\r"
    longest = 16

    def __init__(self) -> None:
        super().__init__()
        self.function = AC
        self.battery_low = False

    def reply(self, text: str) -> str | None:
        if text != "D":
            return None  # it takes no notice
        function = DC if self.broken else self.function
        value = self.truth[function]
        unit = {AC: "V AC", DC: "V DC", AMPS: "A AC", OHMS: "Ohm"}[function]
        words = "LO BAT\r" if self.battery_low else ""
        top = {AC: 600.0, DC: 600.0, AMPS: 10.0, OHMS: 2e7}[function]
        if abs(value) > top:
            return f"{words}   OL {unit}"
        if unit[0] in "VA" and abs(value) < 0.2:
            value, unit = value * 1e3, "m" + unit
        elif unit == "Ohm" and value >= 200.0:
            value, unit = value / 1e3, "kOhm"
        digits = next(digits for digits in (3, 2, 1, 0) if abs(value) * 10**digits < 2000)
        return f"{words}{value: .{digits}f} {unit}"

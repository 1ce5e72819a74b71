"""The bench meter as bytes in and bytes out: an SCPI dialect over one truth, with a meter's errors."""

from __future__ import annotations

import math
import re
from collections import deque

from bench.rehearsal.chance import stream
from bench.rehearsal.meter_errors import Function, MeterErrors
from bench.rehearsal.probe import Probe
from bench.rehearsal.scpi_words import configure_words, measure_words, normal_header

__all__ = ["MeterServer"]

_OVERLOAD = "+9.90000000E+37"
_OVER_RANGE = 1.2  # of full scale
_READING_TIME = 0.08  # s of simulated time that one reading takes
_LONGEST = 350  # characters of a message
_QUEUE = 20  # errors kept
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(E[+-]?\d+)?", re.IGNORECASE)

_CONFIGURE = configure_words()
_MEASURE = measure_words()


class MeterServer:
    """A 6.5 digit true-RMS meter. `feed` takes what came, `poll` gives what is due; both are told the bench time."""

    def __init__(self, probe: Probe, errors: MeterErrors) -> None:
        self._probe = probe
        self._errors = errors
        self._noise = stream(errors.seed, "meter noise")
        self._function = Function.VOLT_DC
        self._range: float | None = None
        self._partial = bytearray()
        self._waiting: deque[str] = deque()
        self._queue: deque[str] = deque()
        self._reading_due: float | None = None
        self._changed_at = 0.0
        self._settled_from = 0.0
        self._shown = 0.0
        self._shown_at = -1.0
        self.serial = f"R{errors.seed % 100000:05d}"

    def feed(self, data: bytes) -> None:
        """Take bytes; whole lines wait for `poll`."""
        self._partial += data
        *lines, rest = bytes(self._partial).split(b"\n")
        self._partial = bytearray(rest)
        for line in lines:
            text = line.rstrip(b"\r\0").decode("ascii", errors="replace")
            if len(text) > _LONGEST:
                self._error(-223, "Too much data")
            else:
                self._waiting += [part.strip() for part in text.split(";") if part.strip()]
        if len(self._partial) > _LONGEST:
            self._partial.clear()
            self._error(-223, "Too much data")

    def poll(self, now: float) -> bytes:
        """Answers that are due at a bench time [s]; nothing else is obeyed while a reading is being taken."""
        out = []
        while True:
            if self._reading_due is not None:
                if now < self._reading_due:
                    break
                self._reading_due = None
                out.append(self._read(now))
            elif self._waiting:
                answer = self._obey(self._waiting.popleft(), now)
                if answer is not None:
                    out.append(answer)
            else:
                break
        return "".join(line + "\n" for line in out).encode("ascii")

    @property
    def due(self) -> float | None:
        """Bench time [s] at which `poll` will have something; None while idle."""
        return self._reading_due

    def forget(self) -> None:
        """The line went away: half a message and what waited are lost, the setting stays."""
        self._partial.clear()
        self._waiting.clear()
        self._reading_due = None

    def _obey(self, message: str, now: float) -> str | None:
        header_text, _, argument = message.partition(" ")
        header, argument = normal_header(header_text), argument.strip()
        match header:
            case None:
                self._error(-102, "Syntax error")
            case "*IDN?":
                return f"Rehearsal,BENCH METER,{self.serial},1.0"
            case "*OPC?":
                return "1"
            case "*CLS":
                self._queue.clear()
            case "*RST":
                self._configure(Function.VOLT_DC, None, now)
            case "*OPC" | "SYST:REM" | "SYST:LOC":
                pass
            case "SYST:ERR?":
                return self._queue.popleft() if self._queue else '+0,"No error"'
            case "CONF?":
                return f'"{self._function.header} {self._full_scale(now):.6E}"'
            case "READ?":
                self._reading_due = now + _READING_TIME
            case _ if header in _CONFIGURE:
                self._select(_CONFIGURE[header], argument, now)
            case _ if header in _MEASURE:
                if self._select(_MEASURE[header], argument, now):
                    self._reading_due = now + _READING_TIME
            case _:
                self._error(-113, "Undefined header")
        return None

    def _select(self, function: Function, argument: str, now: float) -> bool:
        wanted = argument.split(",")[0].strip().upper()
        chosen: float | None
        if wanted in ("", "AUTO", "DEF"):
            chosen = None
        elif wanted in ("MIN", "MAX"):
            chosen = function.ranges[0 if wanted == "MIN" else -1]
        elif _NUMBER.fullmatch(wanted) is None:
            self._error(-224, "Illegal parameter value")
            return False
        else:
            least = abs(float(wanted))
            fitting = [full for full in function.ranges if full >= least * (1 - 1e-9)]
            if not fitting:
                self._error(-222, "Data out of range")
                return False
            chosen = fitting[0]
        self._configure(function, chosen, now)
        return True

    def _configure(self, function: Function, full_scale: float | None, now: float) -> None:
        self._function, self._range = function, full_scale
        self._changed_at, self._settled_from, self._shown = now, 0.0, 0.0

    def _error(self, code: int, text: str) -> None:
        if len(self._queue) < _QUEUE - 1:
            self._queue.append(f'{code},"{text}"')
        elif len(self._queue) < _QUEUE:
            self._queue.append('-350,"Queue overflow"')

    def _read(self, now: float) -> str:
        true = self._true(now)
        full = self._full_scale(now)
        if self._signal(now) > full * _OVER_RANGE:
            self._shown, self._shown_at = full * _OVER_RANGE, now
            return _OVERLOAD
        value = self._settle(true, now)
        self._shown, self._shown_at = value, now
        if self._function is Function.FREQ:
            return f"{value * self._errors.gain(self._function, full):+.6E}"
        value = value * self._errors.gain(self._function, full) + self._errors.offset(self._function, full)
        value += self._noise.normal(0.0, self._function.noise * full)
        step = full * 1e-6
        return f"{round(value / step) * step:+.8E}"

    def _settle(self, true: float, now: float) -> float:
        """What is shown follows the truth exponentially after a change of function, lead or dial."""
        changed = max(self._changed_at, self._probe.changed_at)
        if self._shown_at < changed:
            self._settled_from = self._shown
        left = math.exp(-(now - changed) / self._function.settling)
        return true + (self._settled_from - true) * left if left > 1e-9 else true

    def _true(self, now: float) -> float:
        match self._function:
            case Function.VOLT_AC:
                return self._probe.voltage(now)
            case Function.VOLT_DC:
                return 0.0
            case Function.CURR_AC:
                return self._probe.current(now)
            case Function.RES:
                return self._probe.resistance(now)
            case Function.FRES:
                return self._probe.resistance_four_wire(now)
            case Function.FREQ:
                return self._probe.frequency(now)

    def _full_scale(self, now: float) -> float:
        if self._range is not None:
            return self._range
        signal = self._signal(now)
        return next((full for full in self._function.ranges if signal <= full * 1.1), self._function.ranges[-1])

    def _signal(self, now: float) -> float:
        """What must fit into the range; for frequency that is the voltage."""
        return self._probe.voltage(now) if self._function is Function.FREQ else self._true(now)

"""One meter read many times over, beside a process that knows what it was meant to say."""

from __future__ import annotations

import multiprocessing
import statistics
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from drivers.backoff import BackOff
from drivers.errors import DriverError, PortBusy
from drivers.link import Link
from drivers.meter import Meter
from drivers.meter_profile import MeterProfile, MeterTiming
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity, Reading, State

from .meter_process import NAMES, serve

__all__ = ["LaneOutcome", "campaign_profile", "run_lane"]

_SECOND_PROGRAM_EVERY = 250
_PATIENCE_S = 30.0


@dataclass
class LaneOutcome:
    """What came of the readings of one lane.

    came: by state or by the name of the error.  another: readings that were not what the last queries were answered
    with.  longest_s, deadline_s: of one reading.  without_s: longest stretch from trouble to the next value.
    """

    seed: int
    came: Counter[str] = field(default_factory=Counter)
    faults: Counter[int] = field(default_factory=Counter)
    another: list[str] = field(default_factory=list)
    longest_s: float = 0.0
    deadline_s: float = 0.0
    without_s: float = 0.0
    refused: int = 0
    not_refused: int = 0
    seconds: float = 0.0


def campaign_profile() -> MeterProfile:
    """The shipped profile with deadlines of some hundredths of a second, so that trouble does not take long."""
    shipped = load_meter_profile("scpi")
    timing = MeterTiming(
        response_s=0.08, identity_s=0.06, quiet_s=0.008, late_s=0.08, resync_s=1.0, reopen_s=0.5, gap_s=0.0
    )
    functions = {key: replace(each, settle_s=0.0) for key, each in shipped.functions.items()}
    line = replace(shipped.line, write_timeout_s=0.2, connect_timeout_s=0.2)
    return replace(shipped, timing=timing, functions=functions, line=line)


def run_lane(seed: int, readings: int, rate: float) -> LaneOutcome:
    """So many readings, each answer in trouble with the probability `rate`."""
    profile = campaign_profile()
    context = multiprocessing.get_context("spawn")
    outcome = LaneOutcome(seed)
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        ours, theirs = context.Pipe()
        process = context.Process(target=serve, args=(theirs, folder, seed, rate, profile.timing.response_s))
        process.start()
        try:
            _Lane(outcome, ours, Path(folder), profile).run(readings)
            ours.send("end")
            outcome.faults.update(_answer(ours))
        finally:
            ours.close()
            process.join(_PATIENCE_S)
            if process.is_alive():
                process.kill()
                process.join()
    outcome.seconds = time.monotonic() - begun
    return outcome


def _answer(pipe: Connection) -> Any:
    if not pipe.poll(_PATIENCE_S):
        raise RuntimeError("the process with the truth does not answer")
    return pipe.recv()


class _Lane:
    """Our meter, and the judge of its readings."""

    def __init__(self, outcome: LaneOutcome, pipe: Connection, folder: Path, profile: MeterProfile) -> None:
        self.outcome, self.pipe = outcome, pipe
        names = [str(folder / name) for name in NAMES]
        _answer(pipe)  # plugged in
        self.link = Link(names[0], profile.line, elsewhere=lambda: names, backoff=BackOff(0.01, 0.1))
        self.meter = Meter(self.link, profile, "scpi@campaign")
        self.trouble_since: float | None = None

    def run(self, readings: int) -> None:
        """So many readings; now and then a second program tries the port."""
        with self.meter:
            self.meter.select(Quantity.VOLTAGE_AC, 6.3)
            self.outcome.deadline_s = self.meter.longest_read_s()
            self._tell("go")
            for number in range(1, readings + 1):
                self._read_one()
                if number % _SECOND_PROGRAM_EVERY == 0:
                    self._second_program()

    def _tell(self, what: str) -> None:
        self.pipe.send(what)
        _answer(self.pipe)

    def _read_one(self) -> bool:
        begun = time.monotonic()
        try:
            reading = self.meter.read()
        except DriverError as trouble:
            what = type(trouble).__name__
            reading = None
        ended = time.monotonic()
        self.outcome.longest_s = max(self.outcome.longest_s, ended - begun)
        if reading is None:
            self.outcome.came[what] += 1
            self.trouble_since = self.trouble_since or begun
            return False
        self.outcome.came[reading.state.value] += 1
        if self.trouble_since is not None:
            self.outcome.without_s = max(self.outcome.without_s, ended - self.trouble_since)
            self.trouble_since = None
        self._judge(reading)
        return True

    def _judge(self, reading: Reading) -> None:
        parts = reading.raw.split("; ")
        self.pipe.send(("judge", len(parts)))
        meant = _answer(self.pipe)
        values = [float(part) for part in meant] if reading.state is State.GOOD else []
        if parts != meant or (values and reading.value != statistics.fmean(values)):
            self.outcome.another.append(f"read {reading.state} {reading.value} {parts}, meant were {meant}")

    def _second_program(self) -> None:
        """A port that is held is refused to whoever comes second (case 29)."""
        self._tell("quiet")
        give_up = time.monotonic() + _PATIENCE_S
        while not self._read_one() and time.monotonic() < give_up:
            pass
        try:
            Link(self.link.port, self.link.settings).open()
        except PortBusy:
            self.outcome.refused += 1
        else:
            self.outcome.not_refused += 1
        self._tell("go")

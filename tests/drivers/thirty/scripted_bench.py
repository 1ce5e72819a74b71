"""A bench: our meter on a scripted one, over a real line, with deadlines that are short but hold on a busy machine."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from drivers.errors import DriverError
from drivers.link import Link
from drivers.meter import Meter
from drivers.meter_profile import MeterProfile, MeterTiming
from drivers.profile_files import load_meter_profile
from drivers.reading import Quantity, Reading, State

from .meters import UniqueMeter
from .peer import PtyMeter

__all__ = ["TIMING", "Bench", "quick_profile"]

TIMING = MeterTiming(response_s=0.4, identity_s=0.4, quiet_s=0.02, late_s=0.4, resync_s=3.0, reopen_s=3.0)


def quick_profile() -> MeterProfile:
    """The shipped profile with short deadlines."""
    shipped = load_meter_profile("scpi")
    functions = {key: replace(each, settle_s=0.0) for key, each in shipped.functions.items()}
    line = replace(shipped.line, write_timeout_s=0.5)
    return replace(shipped, functions=functions, timing=TIMING, line=line)


class Bench:
    """Opens our meter on a scripted one; tells whether a reading is the answer to its own query, and in time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.scripted = UniqueMeter()
        self.profile = quick_profile()
        self.elsewhere: list[str] = []
        self.settled = False
        self._open = ExitStack()

    def plug(self, name: str = "tty", scripted: UniqueMeter | None = None, **changes: object) -> PtyMeter:
        """A scripted meter behind a pseudo-terminal of this name."""
        self.scripted = scripted or self.scripted
        scripted_meter = self.scripted
        peer = PtyMeter(self.folder / name, lambda message: scripted_meter.hear(message), **changes)
        self._open.callback(peer.kill)
        return peer

    def meter_on(self, device: str) -> Meter:
        """Our meter on this port, not open yet."""
        link = Link(device, self.profile.line, elsewhere=lambda: self.elsewhere)
        meter = Meter(link, self.profile, f"scpi@{device}")
        self._open.callback(meter.close)
        return meter

    def on_volts(self, device: str) -> Meter:
        """Our meter, open, on alternating volts, and past its first reading."""
        meter = self.meter_on(device)
        meter.open()
        meter.select(Quantity.VOLTAGE_AC, 6.3)
        self.reads_its_own(meter)
        return meter

    def is_own(self, reading: Reading) -> bool:
        """Whether the reading is what the last READ? was answered with."""
        last = self.scripted.given[-1]
        return reading.state is State.GOOD and reading.raw == last and reading.value == float(last)

    def reads_its_own(self, meter: Meter) -> Reading:
        """A reading, which must be the answer to its own query, in time."""
        with self.in_time(meter.longest_read_s()):
            reading = meter.read()
        assert self.is_own(reading), (reading, self.scripted.given[-3:])
        return reading

    def fails(self, meter: Meter, kind: type[DriverError] | tuple[type[DriverError], ...], match: str) -> str:
        """One reading fails so, by the deadline for one answer and for getting in step; what was said."""
        timing = self.profile.timing
        with self.in_time(timing.response_s + timing.resync_s), pytest.raises(kind, match=match) as trouble:
            meter.read()
        assert "\n" not in str(trouble.value)
        return str(trouble.value)

    @contextmanager
    def when_ended(self, peer: PtyMeter, then: Callable[[], None]) -> Iterator[None]:
        """Does `then` in a thread of its own as soon as the peer has hung up."""

        given_up = threading.Event()

        def wait() -> None:
            while not peer.ended():
                if given_up.wait(0.005):
                    return
            then()

        thread = threading.Thread(target=wait, name="peer is plugged in again")
        thread.start()
        try:
            yield
        finally:
            if not peer.ended():
                given_up.set()
            thread.join(5.0)

    @contextmanager
    def in_time(self, seconds: float) -> Iterator[None]:
        """What is done inside takes no longer than this."""
        begun = time.monotonic()
        yield
        taken = time.monotonic() - begun
        assert taken <= seconds, f"{taken:.2f} s, the deadline is {seconds:.2f} s"

    def close(self) -> None:
        self._open.close()

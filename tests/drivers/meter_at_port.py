"""An unknown meter at a real pseudo-terminal, which hears and is heard through two serial interfaces.

A pseudo-terminal carries bytes whatever rate is set, and refuses data bits and parity. So what pyserial asks the system
for is noted here, and the bytes are bent as two chips with those settings would bend them.
"""

from __future__ import annotations

import os
import select
import termios
import threading
import time
import tty
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from drivers.line_settings import LineSettings, Parity

from .uart import heard
from .unknown_meter import UnknownMeter

_RATES = {getattr(termios, f"B{rate}"): rate for rate in (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400)}


class MeterAtPort:
    """`meter` at the port `device`; `unplug` takes the cable out."""

    def __init__(self, meter: UnknownMeter, name: Path, patch: pytest.MonkeyPatch) -> None:
        self.meter = meter
        self.host = LineSettings()
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        name.symlink_to(os.ttyname(self._slave))
        self.device = str(name)
        self._note_settings(patch)
        self._stop_read, self._stop_write = os.pipe()
        self._thread = threading.Thread(target=self._run, name="peer unknown meter")
        self._plugged = True
        self._thread.start()

    def unplug(self) -> None:
        if not self._plugged:
            return
        self._plugged = False
        os.write(self._stop_write, b"x")
        self._thread.join(5.0)
        for descriptor in (self._slave, self._master, self._stop_read, self._stop_write):
            os.close(descriptor)

    def _note_settings(self, patch: pytest.MonkeyPatch) -> None:
        asked: dict[int, list[Any]] = {}
        real_set, real_get = termios.tcsetattr, termios.tcgetattr

        def note(descriptor: int, when: int, attributes: list[Any]) -> None:
            asked[descriptor] = list(attributes)
            self.host = _settings(attributes)
            real_set(descriptor, when, [*attributes[:2], attributes[2] & ~_FORM | termios.CS8, *attributes[3:]])

        def tell(descriptor: int) -> list[Any]:
            return list(asked.get(descriptor) or real_get(descriptor))

        patch.setattr(termios, "tcsetattr", note)
        patch.setattr(termios, "tcgetattr", tell)

    def _run(self) -> None:
        talks_at = time.monotonic() + self.meter.stream_s
        while True:
            wait = max(0.0, talks_at - time.monotonic()) if self.meter.stream else None
            ready, _, _ = select.select([self._master, self._stop_read], [], [], wait)
            if self._stop_read in ready:
                return
            said = b""
            if self._master in ready:
                data = os.read(self._master, 4096)
                said = self.meter.hear(heard(data, self.host, self.meter.frame, checks_parity=True))
            elif self.meter.stream:
                said = self.meter.stream
                talks_at = time.monotonic() + self.meter.stream_s
            if said:
                os.write(self._master, heard(said, self.meter.frame, self.host))


@contextmanager
def plugging(folder: Path, patch: pytest.MonkeyPatch) -> Iterator[Callable[[UnknownMeter], MeterAtPort]]:
    """Gives what puts a meter at a port; whatever was put there is unplugged in the end."""
    plugged: list[MeterAtPort] = []

    def plug(meter: UnknownMeter) -> MeterAtPort:
        plugged.append(MeterAtPort(meter, folder / "tty", patch))
        return plugged[-1]

    yield plug
    for each in plugged:
        each.unplug()


_FORM = termios.CSIZE | termios.PARENB | termios.PARODD


def _settings(attributes: list[Any]) -> LineSettings:
    flags = attributes[2]
    odd = Parity.ODD if flags & termios.PARODD else Parity.EVEN
    return LineSettings(
        baud_rate=_RATES[attributes[5]],
        data_bits=7 if flags & termios.CSIZE == termios.CS7 else 8,
        parity=odd if flags & termios.PARENB else Parity.NONE,
        stop_bits=2 if flags & termios.CSTOPB else 1,
    )

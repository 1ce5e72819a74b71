"""Where a device is found again that was unplugged and came back under another name."""

from __future__ import annotations

import os
from collections.abc import Callable

from drivers.ports import PortInfo, list_ports

__all__ = ["SameDevice"]


class SameDevice:
    """Called, gives the names under which the device may be met now, other than its own; remembers what was plugged in
    when it was made.

    By the USB serial number where the device has one of its own; else, and where two have the same factory number, by
    vendor and product, and then only a port that was not there before, and only where there is no more than one.
    """

    def __init__(self, port: str, ports: Callable[[], list[PortInfo]] = list_ports) -> None:
        self._ports = ports
        there = ports()
        here = os.path.realpath(port)
        self._before = {each.device for each in there}
        self._device = next((each for each in there if each.device in (port, here)), None)
        twins = [each for each in there if self._device is not None and self._kind(each) == self._kind(self._device)]
        self._alone = len(twins) == 1

    def __call__(self) -> list[str]:
        wanted = self._device
        if wanted is None or wanted.vendor_product is None:
            return []
        others = [
            each for each in self._ports() if each.device != wanted.device and self._kind(each) == self._kind(wanted)
        ]
        if wanted.serial_number is not None and self._alone:
            return [each.device for each in others]
        new = [each.device for each in others if each.device not in self._before]
        return new if len(new) == 1 else []

    @staticmethod
    def _kind(port: PortInfo) -> tuple[str | None, str | None]:
        return port.vendor_product, port.serial_number

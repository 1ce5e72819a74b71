"""Which serial ports there are, and what can be said of each without opening it."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from pathlib import Path

from serial.tools import list_ports as _list_ports

from drivers.port_access import Holder, group_of, holder_of

__all__ = ["PortInfo", "list_ports"]

_BY_ID = Path("/dev/serial/by-id")


@dataclass(frozen=True, slots=True)
class PortInfo:
    """A port. stable_name: one that stays the same over unplugging, where the system gives one.

    vendor_product: USB numbers such as "1a86:7523". permitted: whether this user may open it, else
    `group` is the one to join. holder: who has it open, as far as one may see.
    """

    device: str
    stable_name: str | None
    description: str
    vendor_product: str | None
    serial_number: str | None
    permitted: bool
    group: str | None
    holder: Holder | None


def list_ports() -> list[PortInfo]:
    """The serial ports of this machine, in order of their names."""
    stable = _stable_names(_BY_ID)
    found = []
    for port in sorted(_list_ports.comports(), key=lambda each: str(each.device)):
        device = str(port.device)
        numbers = f"{port.vid:04x}:{port.pid:04x}" if port.vid is not None and port.pid is not None else None
        found.append(
            PortInfo(
                device=device,
                stable_name=stable.get(os.path.realpath(device)),
                description=_text(port.description) or "serial port",
                vendor_product=numbers,
                serial_number=_text(port.serial_number),
                permitted=sys.platform == "win32" or os.access(device, os.R_OK | os.W_OK),
                group=group_of(device),
                holder=holder_of(device),
            )
        )
    return found


def _stable_names(folder: Path) -> dict[str, str]:
    try:
        return {os.path.realpath(entry): str(entry) for entry in sorted(folder.iterdir())}
    except OSError:
        return {}


def _text(value: object) -> str | None:
    text = str(value).strip() if value is not None else ""
    return None if text in ("", "n/a") else text

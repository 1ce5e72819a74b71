"""Serial ports that are there, in words."""

from __future__ import annotations

from drivers.ports import PortInfo

__all__ = ["port_words"]


def port_words(port: PortInfo) -> tuple[str, ...]:
    """Its name first, then what can be said of it, what forbids its use last."""
    words = [port.device, port.description]
    if port.vendor_product:
        words.append(f"USB {port.vendor_product}" + (f" serial {port.serial_number}" if port.serial_number else ""))
    if port.stable_name:
        words.append(f"always {port.stable_name}")
    if not port.permitted:
        words.append(
            f"no permission: join the group {port.group} (sudo usermod -aG {port.group} $USER, then log in again)"
            if port.group
            else "no permission"
        )
    if port.holder is not None:
        words.append(f"in use by {port.holder}")
    return tuple(words)

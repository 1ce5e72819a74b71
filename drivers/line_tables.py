"""The part of a profile that every instrument has: how its line is set."""

from __future__ import annotations

from drivers.line_settings import Flow, LineSettings, Parity
from drivers.strict_table import StrictTable

__all__ = ["line_settings_from", "terminator_from"]


def line_settings_from(table: StrictTable) -> LineSettings:
    """Take the keys of LineSettings out of an `[interface]` table."""
    usual = LineSettings()
    stop_bits = table.integer("stop_bits", usual.stop_bits, least=1, most=2)
    return LineSettings(
        baud_rate=table.integer("baud_rate", usual.baud_rate, least=50, most=4_000_000),
        data_bits=table.integer("data_bits", usual.data_bits, least=5, most=8),
        parity=table.choice("parity", Parity, usual.parity),
        stop_bits=stop_bits,
        flow=table.choice("flow", Flow, usual.flow),
        dtr=table.flag("dtr", usual.dtr),
        rts=table.flag("rts", usual.rts),
        open_settle_s=table.number("open_settle_s", usual.open_settle_s, most=60.0),
        write_timeout_s=table.number("write_timeout_s", usual.write_timeout_s, least=0.01, most=60.0),
        connect_timeout_s=table.number("connect_timeout_s", usual.connect_timeout_s, least=0.01, most=60.0),
        socket_port=table.integer("socket_port", usual.socket_port, most=65535),
    )


def terminator_from(table: StrictTable, key: str) -> bytes:
    """The bytes that end a line."""
    text = table.text(key, "\n")
    if not text or not text.isascii():
        table.report(key, f'{text!r}, expected one or more ASCII characters such as "\\n"')
        return b"\n"
    return text.encode("ascii")

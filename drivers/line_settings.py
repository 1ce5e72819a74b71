"""How a serial line is set: rate, frame, flow, the levels of its control lines."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Flow", "LineSettings", "Parity"]


class Parity(StrEnum):
    NONE = "none"
    EVEN = "even"
    ODD = "odd"

    @property
    def letter(self) -> str:
        return self.value[0].upper()


class Flow(StrEnum):
    NONE = "none"
    XON_XOFF = "xon/xoff"
    RTS_CTS = "rts/cts"
    DTR_DSR = "dtr/dsr"


@dataclass(frozen=True, slots=True)
class LineSettings:
    """What must be known to open a line; a socket uses only the times and its port.

    baud_rate: bit/s.  dtr, rts: levels at open.  open_settle_s: wait after opening, for boards that
    start anew then.  write_timeout_s, connect_timeout_s: deadlines, s.  socket_port: where an address on the
    network gives none; 0 where such instruments have no usual one.
    """

    baud_rate: int = 9600
    data_bits: int = 8
    parity: Parity = Parity.NONE
    stop_bits: int = 1
    flow: Flow = Flow.NONE
    dtr: bool = True
    rts: bool = True
    open_settle_s: float = 0.0
    write_timeout_s: float = 2.0
    connect_timeout_s: float = 3.0
    socket_port: int = 0

    def __str__(self) -> str:
        return f"{self.baud_rate} {self.data_bits}{self.parity.letter}{self.stop_bits}"

"""A bench meter on scpipy's server, a process of its own: `python -m tests.drivers.counterparts.served_device PORT`."""

from __future__ import annotations

import sys
from typing import Any

from scpipy.server.routing import Router
from scpipy.server.server import Server
from scpipy.shared.errors import DefaultScpiErrors, ScpiException

LARGEST = 100.0


def bench_meter() -> Router:
    """Which messages there are, not how they are taken or what goes wrong with them."""
    router = Router()
    state = {"function": "VOLT:DC", "range": 100.0, "reading": "+6.300000E+00"}

    def configure(function: str) -> Any:
        def take(context: Any, full_scale: str) -> None:
            if not 0.0 < float(full_scale) <= LARGEST:
                raise ScpiException(DefaultScpiErrors.DATA_OUT_OF_RANGE.value)
            state.update(function=function, range=float(full_scale))

        return take

    def put(context: Any, reading: str) -> None:
        state["reading"] = reading

    router.add_route("*IDN?", lambda context: "NOBODY,SERVED4,0815,1.5")
    router.add_route("SYSTem:REMote", lambda context: None)
    router.add_route("SYSTem:LOCal", lambda context: None)
    router.add_route("CONFigure:VOLTage:AC <full_scale>", configure("VOLT:AC"))
    router.add_route("CONFigure:VOLTage[:DC] <full_scale>", configure("VOLT:DC"))
    router.add_route("CONFigure:RESistance <full_scale>", configure("RES"))
    router.add_route("CONFigure?", lambda context: f'"{state["function"]} {state["range"]:.6E},1.0E-5"')
    router.add_route("READ?", lambda context: state["reading"])
    router.add_route("SIMulation:READing <reading>", put)
    return router


if __name__ == "__main__":
    server = Server("127.0.0.1", int(sys.argv[1]))
    server.include_router(bench_meter())
    server.run()

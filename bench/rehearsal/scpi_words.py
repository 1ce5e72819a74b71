"""The command words that the bench meter knows, after SCPI-99: long and short forms, any case."""

from __future__ import annotations

import re

from bench.rehearsal.meter_errors import Function

__all__ = ["configure_words", "measure_words", "normal_header"]

_LONG = {
    "SYSTEM": "SYST",
    "ERROR": "ERR",
    "REMOTE": "REM",
    "LOCAL": "LOC",
    "VERSION": "VERS",
    "CONFIGURE": "CONF",
    "MEASURE": "MEAS",
    "VOLTAGE": "VOLT",
    "CURRENT": "CURR",
    "RESISTANCE": "RES",
    "FRESISTANCE": "FRES",
    "FREQUENCY": "FREQ",
}
_HEADER = re.compile(r"\*[A-Z]{3}\??|:?[A-Z]+(?::[A-Z]+)*\??")


def normal_header(text: str) -> str | None:
    """A header in short upper-case form, such as `CONF:VOLT:AC`; None for what is no header at all."""
    upper = text.upper()
    if _HEADER.fullmatch(upper) is None:
        return None
    query = "?" if upper.endswith("?") else ""
    words = upper.rstrip("?").lstrip(":").split(":")
    short = [_LONG.get(word, word) for word in words]
    if short[-1] == "NEXT" and short[:-1] == ["SYST", "ERR"]:
        short.pop()
    return ":".join(short) + query


def configure_words() -> dict[str, Function]:
    """Header of CONFigure for each function; volts without AC or DC are DC."""
    words = {f"CONF:{function.header}": function for function in Function}
    return words | {"CONF:VOLT": Function.VOLT_DC}


def measure_words() -> dict[str, Function]:
    """Header of MEASure? for each function."""
    return {header.replace("CONF", "MEAS") + "?": function for header, function in configure_words().items()}

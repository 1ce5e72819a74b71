"""What the number of an SCPI error says: whose fault it is, and the standard's words where the meter sends none."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

__all__ = ["STANDARD_TEXTS", "ErrorClass", "error_class", "whose_fault"]


class ErrorClass(StrEnum):
    """The classes of SCPI-99, volume 2, 21.8.9 to 21.8.12; NOTICE and OWN are what lies beside them."""

    NONE = "no error"
    COMMAND = "command error"
    EXECUTION = "execution error"
    DEVICE = "device-specific error"
    QUERY = "query error"
    NOTICE = "notice"
    OWN = "the maker's own code"


# By hundreds. From -500 on nothing went wrong: power on, user request, request control, operation complete.
_CLASSES = {
    1: ErrorClass.COMMAND,
    2: ErrorClass.EXECUTION,
    3: ErrorClass.DEVICE,
    4: ErrorClass.QUERY,
    5: ErrorClass.NOTICE,
    6: ErrorClass.NOTICE,
    7: ErrorClass.NOTICE,
    8: ErrorClass.NOTICE,
}

STANDARD_TEXTS: Mapping[int, str] = MappingProxyType(
    {
        0: "No error",
        -100: "Command error",
        -101: "Invalid character",
        -102: "Syntax error",
        -103: "Invalid separator",
        -104: "Data type error",
        -108: "Parameter not allowed",
        -109: "Missing parameter",
        -112: "Program mnemonic too long",
        -113: "Undefined header",
        -131: "Invalid suffix",
        -138: "Suffix not allowed",
        -151: "Invalid string data",
        -200: "Execution error",
        -211: "Trigger ignored",
        -213: "Init ignored",
        -214: "Trigger deadlock",
        -220: "Parameter error",
        -221: "Settings conflict",
        -222: "Data out of range",
        -223: "Too much data",
        -224: "Illegal parameter value",
        -230: "Data corrupt or stale",
        -240: "Hardware error",
        -241: "Hardware missing",
        -310: "System error",
        -330: "Self-test failed",
        -340: "Calibration failed",
        -350: "Queue overflow",
        -360: "Communication error",
        -361: "Parity error in program message",
        -362: "Framing error in program message",
        -363: "Input buffer overrun",
        -365: "Time out error",
        -400: "Query error",
        -410: "Query INTERRUPTED",
        -420: "Query UNTERMINATED",
        -430: "Query DEADLOCKED",
        -440: "Query UNTERMINATED after indefinite response",
        -500: "Power on",
    }
)
"""Texts by code, capitals as the standard has them: SCPI-99, volume 2, 21.8.9 to 21.8.13, by way of the table of an
open parser library (libscpi/inc/scpi/error.h of scpi-parser)."""

_THE_LINE = range(-365, -359)

_FAULTS = {
    ErrorClass.NONE: "nothing is wrong",
    ErrorClass.COMMAND: "the meter does not know what it was sent: the profile is for another dialect, or the line was "
    "damaged",
    ErrorClass.EXECUTION: "the meter knows the command and can't obey it as it stands: range, setting or trigger",
    ErrorClass.DEVICE: "trouble inside the meter",
    ErrorClass.QUERY: "question and answer fell out of step, which is this program's or another program's doing",
    ErrorClass.NOTICE: "nothing is wrong, the meter tells what happened to it",
    ErrorClass.OWN: "see the meter's manual",
}


def error_class(code: int) -> ErrorClass:
    """The class of an error's number: -100 to -199 command, -200 execution, -300 device, -400 query.

    Positive numbers are the maker's own; so is taken what the standard leaves free (-1 to -99, below -899).
    Source: SCPI-99, volume 2, 21.8.9 to 21.8.12.
    """
    if code == 0:
        return ErrorClass.NONE
    return _CLASSES.get(-code // 100, ErrorClass.OWN) if code < 0 else ErrorClass.OWN


def whose_fault(code: int) -> str:
    """Where to look, in words; no sentence of the standard."""
    if code in _THE_LINE:
        return "bytes were lost or damaged on their way to the meter: check rate, data bits, parity and flow control"
    if code == -350:
        return "more errors than the meter's queue holds: the first one in it counts"
    return _FAULTS[error_class(code)]

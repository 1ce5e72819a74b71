"""What the answers of an SCPI-style meter mean: bytes in, values out, no I/O.

Numeric forms: IEEE 488.2-1992, 8.7.2 to 8.7.4 (NR1, NR2, NR3). Infinity 9.9E37 and not-a-number 9.91E37:
SCPI-99, volume 1, 7.2.1.4 and 7.2.1.5.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from drivers.line_pattern import LinePattern
from drivers.scpi_errors import STANDARD_TEXTS, ErrorClass, error_class, whose_fault

__all__ = [
    "Answer",
    "AnswerForms",
    "Damaged",
    "DeviceError",
    "ErrorText",
    "NoValue",
    "Overload",
    "Value",
    "build_command",
    "classify",
    "explained",
    "judge_number",
    "parse_error",
    "parse_number",
    "unreadable",
]

# float() alone would take nan, infinity, 1_0 and blanks all around
_NUMBER = re.compile(r" {0,4}([+-]?(?:\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})(?:[eE][+-]?\d{1,3})?)", re.ASCII)
_ERROR = re.compile(r'\s{0,4}([+-]?\d{1,5})\s{0,4},\s{0,4}(?:"(.*)"|([^"\d\s+-].*))\s{0,4}', re.ASCII)
_SAME = 1e-4  # 9.9E37 and 9.91E37 differ by a thousandth
_BEYOND_ANY_METER = 1e30
_FILLERS = 2  # so many NULs follow the end of a line where a printer once needed the time
_FLOW = bytes((0x11, 0x13))  # XON, XOFF


@dataclass(frozen=True, slots=True)
class Value:
    """A number the meter measured, SI."""

    value: float


@dataclass(frozen=True, slots=True)
class Overload:
    """The meter says: over range."""


@dataclass(frozen=True, slots=True)
class NoValue:
    """The meter says: nothing to show."""


@dataclass(frozen=True, slots=True)
class ErrorText:
    """An error in the place of a number."""

    code: int
    text: str


@dataclass(frozen=True, slots=True)
class Damaged:
    """Not an answer that this profile knows; `frame` where the bytes themselves are wrong."""

    reason: str
    frame: bool = False


Answer = Value | Overload | NoValue | ErrorText | Damaged


@dataclass(frozen=True, slots=True)
class DeviceError:
    """One entry of the meter's error queue."""

    code: int
    text: str

    @property
    def kind(self) -> ErrorClass:
        """Command, execution, device-specific or query error."""
        return error_class(self.code)

    @property
    def whose(self) -> str:
        """Where to look for the cause, in words."""
        return whose_fault(self.code)

    def __str__(self) -> str:
        text = self.text or STANDARD_TEXTS.get(self.code, "")
        return f"{self.code} {text}".rstrip()


@dataclass(frozen=True, slots=True)
class AnswerForms:
    """How a meter says that it has no number to give."""

    overload_values: tuple[float, ...] = (9.9e37,)
    overload_words: tuple[str, ...] = ()
    no_value_values: tuple[float, ...] = (9.91e37,)
    no_value_words: tuple[str, ...] = ()


def unreadable(data: bytes) -> str | None:
    """Why these bytes are no text at all, or None: a wrong rate, frame or parity shows as such bytes."""
    if not _strange(data):
        return None
    shown = data[:16].hex(" ")
    if not _strange(data.translate(None, _FLOW)):
        return f"flow signs XON, XOFF among the bytes {shown}: set the flow of the line to xon/xoff"
    if data.count(0) <= _FILLERS and not _strange(data.lstrip(b"\0")):
        return f"NUL before the bytes {shown}: check the terminator that is received"
    return f"unreadable bytes {shown}: check the line's rate, data bits and parity"


def _strange(data: bytes) -> bool:
    return any(byte > 126 or (byte < 32 and byte not in b"\t\r\n") for byte in data)


def parse_number(text: str) -> float | None:
    """NR1, NR2 or NR3 in full match, blanks before it allowed; None for anything else."""
    match = _NUMBER.fullmatch(text)
    if match is None:
        return None
    value = float(match.group(1))
    return value if math.isfinite(value) else None


def classify(line: bytes, forms: AnswerForms) -> Answer:
    """What one line in the place of a reading says."""
    trouble = unreadable(line)
    if trouble is not None:
        return Damaged(trouble, frame=True)
    text = line.decode("ascii")
    word = text.strip()
    if word in forms.overload_words:
        return Overload()
    if word in forms.no_value_words:
        return NoValue()
    value = parse_number(text)
    if value is None:
        error = parse_error(line)
        if error is not None:
            return ErrorText(error.code, error.text)
        return Damaged(f"{text[:60]!r} is not a number")
    return judge_number(value, forms)


def judge_number(value: float, forms: AnswerForms) -> Answer:
    """Whether a number is a value, or one of the numbers that stand for over range and no value."""
    size = abs(value)
    if any(math.isclose(size, form, rel_tol=_SAME) for form in forms.overload_values):
        return Overload()
    if any(math.isclose(size, form, rel_tol=_SAME) for form in forms.no_value_values):
        return NoValue()
    if size > _BEYOND_ANY_METER:
        return Damaged(f"{value:g} is beyond any meter and no form of overload that the profile knows")
    return Value(value)


def parse_error(line: bytes, form: LinePattern | None = None) -> DeviceError | None:
    """An answer of the error query such as `-113,"Undefined header"`; None when it isn't one.

    form: another form, matched in full, with the groups `code`, a whole number, and perhaps `text`.
    """
    if unreadable(line) is not None:
        return None
    if form is not None:
        found = form.fullmatch(line.decode("ascii").strip())
        code = parse_number(found["code"] or "") if found is not None else None
        if found is None or code is None or code != int(code):
            return None
        text = found["text"] if "text" in form.groupindex else None
        return DeviceError(int(code), (text or "").strip())
    match = _ERROR.fullmatch(line.decode("ascii"))
    if match is None:
        return None
    return DeviceError(int(match.group(1)), (match.group(2) or match.group(3) or "").strip())


def explained(errors: Sequence[DeviceError]) -> str:
    """Errors as the meter gave them, and where to look for the cause of the first: the rest often follow from it."""
    said = "; ".join(str(error) for error in errors)
    return f"{said} ({errors[0].kind}: {errors[0].whose})" if errors else "no error"


def build_command(template: str, full_scale: float | None = None) -> str:
    """The command with `{range}`, the only thing that is substituted, as a plain number in SI."""
    if "{range}" not in template:
        return template
    if full_scale is None:
        raise ValueError(f"{template!r} needs a range")
    return template.replace("{range}", format(full_scale, ".10g").upper())

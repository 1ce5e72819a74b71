"""The text of a new job file: what was answered, and the rest as comments to fill in."""

from __future__ import annotations

import json
import textwrap
from dataclasses import dataclass

from bench.job.profiles import known

__all__ = ["NewJob", "job_text"]

_UNKNOWN_STEEL = "nonoriented-unknown"
_BELOW = "#                               # "


@dataclass(frozen=True)
class NewJob:
    """The five answers, SI, and the number of the record."""

    number: str
    what: str
    made_volts: float
    made_hertz: float
    volts: float
    hertz: float
    tongue: float
    stack: float


def job_text(job: NewJob) -> str:
    """A valid, half empty job file."""
    number = "".join(c if c.isascii() and (c.isalnum() or c in "._-") else "-" for c in job.number).lstrip("._-")[:40]
    return f"""# A job: one transformer. Half empty is fine; each command says what it still needs.
# Quantities are written with their units: "0.4 mm", "26 AWG", "230 V".
schema = 1

[identity]
number = {_quoted(number or "job")}          # names the record; never change it
name = {_quoted(job.what)}
# equipment, maker, model, serial, owner, fault, received, note

[core]
tongue = "{job.tongue * 1e3:g} mm"
stack = "{job.stack * 1e3:g} mm"
window_width = "{job.tongue * 500:g} mm"     # as for a scrapless E-I lamination; measure yours
window_height = "{job.tongue * 1500:g} mm"
# steel = "m400-50a"            # nonoriented-unknown where nobody knows, or one of
{_steels()}
# interleave = "1x1"

[supply]
voltage = "{job.volts:g} V"
frequency = "{job.hertz:g} Hz"
tolerance = "10 %"

[made_for]
voltage = "{job.made_volts:g} V"
frequency = "{job.made_hertz:g} Hz"

# Windings in the order in which they lie on the former, inside first.
# [[winding]]
# name = "primary"
# role = "primary"              # primary or secondary
# turns = 662
# wire = "0.40 mm"              # bare; or "26 AWG", "24 SWG"
# rated_voltage = "230 V"
# rated_current = "0.35 A"
# layers = [88, 88, 88, 88, 88, 88, 88, 46]   # turns of each layer; must add up to the turns
# start = {{ tag = "1", colour = "black" }}
# finish = {{ tag = "2", colour = "white" }}

# [[winding]]
# name = "ht"
# role = "secondary"
# turns = 1554
# wire = "0.18 mm"
# taps = [{{ name = "centre", turn = 777, lead = {{ tag = "4" }} }}]
# strands = 1
# sense = "clockwise"

# [[screen]]
# name = "screen"
# after = "primary"             # the winding that it lies on
"""


def _steels() -> str:
    """The shipped steels as lines of a comment."""
    names = [name for name in known("steels") if name != _UNKNOWN_STEEL]
    return textwrap.fill(", ".join(names), 100, initial_indent=_BELOW, subsequent_indent=_BELOW, break_on_hyphens=False)


def _quoted(text: str) -> str:
    """A TOML basic string; JSON's escapes are among TOML's."""
    # What a terminal sent in another encoding arrives as lone surrogates, which no file can hold.
    whole = text.encode("utf-8", "replace").decode("utf-8")
    return json.dumps(whole, ensure_ascii=False).replace("\x7f", "\\u007f")

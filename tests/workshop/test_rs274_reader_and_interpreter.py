"""The reader of these tests against an interpreter that descends from NIST's own, whose answers are kept.

Kept in `interpreter/`: each `.ngc` beside the canonical commands that `rs274 -g FILE` gave for it, the stand-alone
interpreter in Debian 12's package linuxcnc-uspace 2.9.0~pre1+git20230208.f1270d6ed7-1+deb12u2.  One program goes
through modes, units and feeds; two are winding programs, in mm and in inches, with lost motion taken up.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.workshop.rs274_reader import Dwelt, Moved, Waited, replay

FOLDER = Path(__file__).parent / "interpreter"
AXES = "XYZABC"
COMMAND = re.compile(r"\s*\d+ N\S*\s+(\w+)\((.*)\)\s*$")


def canonical(name: str) -> list[tuple[str, object]]:
    """Moves in mm and degrees with their feed [per minute], stops with their messages, dwells."""
    done: list[tuple[str, object]] = []
    messages: list[str] = []
    scale, feed = 1.0, 0.0
    for line in (FOLDER / f"{name}.canon").read_text(encoding="ascii").splitlines():
        match = COMMAND.match(line)
        assert match, line
        match match.group(1), match.group(2):
            case "USE_LENGTH_UNITS", units:
                scale = 25.4 if units == "CANON_UNITS_INCHES" else 1.0
            case "SET_FEED_RATE", rate:
                feed = float(rate)
            case ("STRAIGHT_TRAVERSE" | "STRAIGHT_FEED") as how, places:
                values = [float(one) for one in places.split(",")]
                at = [value * (scale if axis in "XYZ" else 1) for axis, value in zip(AXES, values, strict=True)]
                done.append(("move", (at, feed if how == "STRAIGHT_FEED" else None, scale)))
            case "MESSAGE", text:
                messages.append(text.strip('"').strip())
            case "PROGRAM_STOP", _:
                done.append(("stop", tuple(messages)))
                messages = []
            case "DWELL", seconds:
                done.append(("dwell", float(seconds)))
            case _:
                pass
    return done


@pytest.mark.parametrize("name", ["modes", "receiver", "opener-inch"])
def test_reader_and_interpreter_agree(name: str) -> None:
    ours = replay((FOLDER / f"{name}.ngc").read_text(encoding="ascii")).done
    theirs = canonical(name)
    assert len(ours) == len(theirs) > 10
    for mine, (kind, value) in zip(ours, theirs, strict=True):
        match mine:
            case Waited(messages):
                assert (kind, value) == ("stop", messages)
            case Dwelt(seconds):
                assert (kind, value) == ("dwell", seconds)
            case Moved():
                assert kind == "move"
                at, feed, scale = value  # type: ignore[misc]
                # The interpreter prints four decimals, in inches where it counts in inches.
                assert [mine.after[axis] for axis in AXES] == pytest.approx(at, abs=0.6e-4 * scale)
                if feed is None:
                    assert mine.minutes is None
                else:
                    # It turns moves a minute into a speed: along X, Y, Z where they move, else of the rotary axis.
                    straight = sum((mine.after[axis] - mine.before[axis]) ** 2 for axis in "XYZ") ** 0.5 / scale
                    turned = sum((mine.after[axis] - mine.before[axis]) ** 2 for axis in "ABC") ** 0.5
                    assert mine.minutes is not None
                    # Never less than 0.1 a minute, its own floor: one move of `modes` meets it, no winding program may.
                    rate = (straight or turned) / mine.minutes
                    assert max(rate, 0.1) == pytest.approx(feed, rel=1e-5, abs=0.6e-4)
                    assert rate >= 0.1 or name == "modes"

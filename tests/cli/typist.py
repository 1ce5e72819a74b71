"""A person at the prompt of `turnproof test --meter hand`, who knows only what the terminal says."""

from __future__ import annotations

import re
import subprocess

from bench.operators.rehearsal import ControlPort

_FED = {"from": "primary.start", "to": "primary.finish"}
_PROMPT = re.compile(r"(?:done\? |(\w+) \[[^\]]+\]: )\Z")
_WAITS = re.compile(r"left; Enter ends it early\n\Z")
_EARLY = re.compile(r"End it early\? .*: \Z")
ENDS = " \n"
"""What a prompt ends with: nothing need be looked for after any other sign."""
_PLACE = re.compile(r"^  (\w+) from ([\w.]+).*? to ([\w.]+)", re.MULTILINE)
_LINK = re.compile(r"^  join ([\w.]+).*? and ([\w.]+)", re.MULTILINE)
_FEED = re.compile(
    r"> Feed primary( through the limiter)?(?:, (\d+) ohm in series)?: ([\d.]+ \w+), ([\d.]+) Hz, "
    r"from the ([\w -]+), on"
)
_SOURCES = {"isolated low-voltage source": "low voltage", "variac": "variac"}
_TESTER = re.compile(r"one minute: (\w+) against")
_DIELECTRIC = re.compile(r"Dielectric tester: (\w+) to all the rest.* ([\d.]+) V ac")
_DRAWER = re.compile(r"about ([\d.]+ \w+) that bears")
_LOAD = re.compile(r"> Load (\w+) .*\n  ([\d.]+ \w+) on ")
_UNLOAD = re.compile(r"> Take the load off (\w+)\.")


class Typist:
    """Does at the rehearsal's bench what the terminal asks for, and types what the hand-held meter there shows."""

    def __init__(self, control: ControlPort) -> None:
        self._control = control
        self._place: dict[str, object] = {}
        self._tested: dict[str, object] = {}

    def take(self, test: subprocess.Popen[str]) -> str:
        """Answer every prompt to the end; all that the terminal said."""
        assert test.stdout is not None
        assert test.stdin is not None
        said, block = "", ""
        while character := test.stdout.read(1):
            block += character
            if character not in ENDS:
                continue
            if _WAITS.search(block) or _EARLY.search(block):
                test.stdin.write("\n" if _WAITS.search(block) else "no time\n")
                test.stdin.flush()
                said, block = said + block, ""
                continue
            prompt = _PROMPT.search(block)
            if prompt is not None:
                test.stdin.write(self._answer(block, prompt.group(1)) + "\n")
                test.stdin.flush()
                said, block = said + block, ""
        return said + block

    def _answer(self, block: str, quantity: str | None) -> str:
        place = _PLACE.search(block)
        if place is not None:
            links = [list(link) for link in _LINK.findall(block)]
            self._place = {"quantity": place[1], "from": place[2], "to": place[3], "links": links}
        if quantity is None:
            self._do(block, moved=place is not None)
            return ""
        return str(self._control.do("enter", **self._read(block, quantity))["value"])

    def _do(self, block: str, moved: bool) -> None:
        if moved:
            self._control.do("connect", **self._place)
        load, off = _LOAD.search(block), _UNLOAD.search(block)
        if load is not None:
            self._control.do("load", winding=load[1], ohms=load[2])
        elif off is not None:
            self._control.do("load", winding=off[1], ohms=None)
        feed = _FEED.search(block)
        if feed is not None:
            series = None if feed[2] is None else f"{feed[2]} ohm"
            supply = {"volts": feed[3], "hertz": f"{feed[4]} Hz", "source": _SOURCES[feed[5]]}
            self._control.do("excite", limiter=feed[1] is not None, series=series, **supply, **_FED)
        elif "Volts to zero" in block:
            zero = {"volts": "0 V", "hertz": "50 Hz", "source": "variac"}
            self._control.do("excite", limiter=False, series=None, **zero, **_FED)

    def _read(self, block: str, quantity: str) -> dict[str, object]:
        tester = _TESTER.search(block)
        if tester is not None:
            return {"quantity": quantity, "between": [tester[1], "rest"]}
        if quantity in ("test_voltage", "leakage_current"):
            asked = _DIELECTRIC.search(block)
            if asked is not None:
                self._tested = {"between": [asked[1], "rest"], "volts": f"{asked[2]} V"}
            return {"quantity": quantity, **self._tested}
        drawer = _DRAWER.search(block)
        if drawer is not None:
            return {"quantity": quantity, "expected": drawer[1]}
        if quantity == "temperature" and "core" in block:
            return {"quantity": quantity, "place": "core"}
        return {"quantity": quantity} if quantity in ("temperature", "stack_height", "noticed") else self._place

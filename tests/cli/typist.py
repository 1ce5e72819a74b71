"""A person at the prompt of `turnproof test --meter hand`, who knows only what the terminal says."""

from __future__ import annotations

import re
import subprocess

from bench.operators.rehearsal import ControlPort

_FED = {"from": "primary.start", "to": "primary.finish"}
_PROMPT = re.compile(r"(?:done\? |(\w+) \[\w+\]: )\Z")
_PLACE = re.compile(r"^  (\w+) from ([\w.]+).*? to ([\w.]+)", re.MULTILINE)
_LINK = re.compile(r"^  join ([\w.]+).*? and ([\w.]+)", re.MULTILINE)
_FEED = re.compile(
    r"> Feed primary( through the limiter)?(?:, (\d+) ohm in series)?: ([\d.]+ \w+), ([\d.]+) Hz, from the ([\w ]+), on"
)
_TESTER = re.compile(r"one minute: (\w+) against")


class Typist:
    """Does at the rehearsal's bench what the terminal asks for, and types what the hand-held meter there shows."""

    def __init__(self, control: ControlPort) -> None:
        self._control = control
        self._place: dict[str, object] = {}

    def take(self, test: subprocess.Popen[str]) -> str:
        """Answer every prompt to the end; all that the terminal said."""
        assert test.stdout is not None
        assert test.stdin is not None
        said, block = "", ""
        while character := test.stdout.read(1):
            block += character
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
        feed = _FEED.search(block)
        if feed is not None:
            series = None if feed[2] is None else f"{feed[2]} ohm"
            supply = {"volts": feed[3], "hertz": f"{feed[4]} Hz", "source": feed[5]}
            self._control.do("excite", limiter=feed[1] is not None, series=series, **supply, **_FED)
        elif "Volts to zero" in block:
            off = {"volts": "0 V", "hertz": "50 Hz", "source": "variac"}
            self._control.do("excite", limiter=False, series=None, **off, **_FED)

    def _read(self, block: str, quantity: str) -> dict[str, object]:
        tester = _TESTER.search(block)
        if tester is not None:
            return {"quantity": quantity, "between": [tester[1], "rest"]}
        return {"quantity": quantity} if quantity in ("temperature", "stack_height") else self._place

"""The operator as JSON lines: an object out for each request, an object in for each reply."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, TextIO

from bench.acceptance.ask import MalformedReply, Reply, ReplyKind, ask_object, parse_reply
from bench.acceptance.requests import Excite, OperatorRequest

__all__ = ["JsonLinesOperator"]


class JsonLinesOperator:
    """Writes asks to `out`, reads replies from `source`; a malformed reply is asked again, the end of input is stop."""

    def __init__(self, source: TextIO, out: TextIO) -> None:
        self._lines: Iterator[str] = iter(source.readline, "")
        self._out = out
        self._asked = 0

    def make_safe(self, request: Excite) -> None:
        """The volts to zero, whatever broke the test off: asked once, and waited for as long as there is an input."""
        self._write({**ask_object(request, "end"), "problem": "the test was broken off"})
        next((line for line in self._lines if line.strip()), None)

    def ask(self, request: OperatorRequest) -> Reply:
        self._asked += 1
        ask = ask_object(request, f"a{self._asked}")
        while True:
            self._write(ask)
            line = next((line for line in self._lines if line.strip()), None)
            if line is None:
                return Reply(ReplyKind.STOP, "end of input")
            try:
                return parse_reply(line, ask)
            except MalformedReply as problem:
                ask["problem"] = str(problem)

    def _write(self, ask: dict[str, Any]) -> None:
        self._out.write(json.dumps(ask, ensure_ascii=False) + "\n")
        self._out.flush()

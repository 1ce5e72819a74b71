"""The operator as the rehearsal's hand, at the other end of its control port."""

from __future__ import annotations

import json
import time
from typing import Any

from bench.acceptance.ask import MalformedReply, Reply, ReplyKind, ask_object, parse_reply
from bench.acceptance.requests import OperatorRequest
from drivers.errors import LinkLost, NoAnswer
from drivers.line_settings import LineSettings
from drivers.link import Link

__all__ = ["ControlPort", "RehearsalOperator"]

_LONGEST_LINE = 100_000


class ControlPort:
    """One JSON object a line, out and in, over a port of the rehearsal."""

    def __init__(self, port: str, *, patience: float = 30.0) -> None:
        self._port = port
        self._patience = patience
        self._link = Link(port, LineSettings(baud_rate=115200))
        self._rest = b""
        self._asked = 0

    def open(self) -> None:
        """Raises PortMissing, PortBusy, PortDenied."""
        self._link.open()

    def close(self) -> None:
        self._link.close()

    def line(self, ask: dict[str, Any]) -> str:
        """Send one object and wait for the line that answers it; raises LinkLost or NoAnswer."""
        self._link.send(json.dumps(ask).encode() + b"\n")
        deadline = time.monotonic() + self._patience
        while b"\n" not in self._rest:
            if time.monotonic() > deadline or len(self._rest) > _LONGEST_LINE:
                raise NoAnswer(f"{self._port}: the rehearsal did not answer {ask.get('ask')!r} in {self._patience:g} s")
            self._rest += self._link.receive(0.2)
        line, _, self._rest = self._rest.partition(b"\n")
        return line.decode(errors="replace")

    def do(self, ask: str, **fields: Any) -> dict[str, Any]:
        """A command of one's own, such as `spindle`; the answer as an object, ValueError when it is an error."""
        self._asked += 1
        answer = json.loads(self.line({"schema": 1, "id": f"c{self._asked}", "ask": ask, **fields}))
        if "error" in answer:
            raise ValueError(f"rehearsal: {answer['error']}")
        return dict(answer)


class RehearsalOperator:
    """Lets the hand do what is asked."""

    def __init__(self, control: ControlPort) -> None:
        self._control = control
        self._asked = 0

    def ask(self, request: OperatorRequest) -> Reply:
        self._asked += 1
        ask = ask_object(request, f"a{self._asked}")
        try:
            return parse_reply(self._control.line(ask), ask)
        except (LinkLost, NoAnswer, MalformedReply) as problem:
            return Reply(ReplyKind.STOP, str(problem))

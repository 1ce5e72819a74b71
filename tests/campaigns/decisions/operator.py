"""The operator of the campaign: the rehearsal's hand behind its control port, without the port."""

from __future__ import annotations

import json

from bench.acceptance.ask import MalformedReply, Reply, ReplyKind, ask_object, parse_reply
from bench.acceptance.requests import OperatorRequest
from bench.rehearsal.control import Control, Plugs
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.hand import Hand
from bench.rehearsal.spindle import Spindle
from tests.campaigns.decisions.one_solution import Leads, SharedBench
from tests.campaigns.decisions.population import Drawn
from tests.campaigns.decisions.time_at_the_bench import BenchTime

__all__ = ["HandOperator"]

_SECONDS = {"connect": 20.0, "excite": 10.0, "load": 20.0, "enter": 30.0}
"""How long a person takes; the supply wanders meanwhile."""
_OTHERWISE = 10.0


class HandOperator:
    """Whatever is asked goes to the hand as a line of the control port, and its line is the reply."""

    def __init__(self, unit: Drawn, bench: SharedBench, leads: Leads, time: BenchTime) -> None:
        hand = Hand(unit.job, bench, leads, unit.faults, unit.seed)
        spindle = Spindle()
        self._control = Control(hand, spindle, CounterBoard(spindle), _no_plugs(), unit.seed)
        self._time = time
        self._asked = 0

    def ask(self, request: OperatorRequest) -> Reply:
        self._asked += 1
        ask = ask_object(request, f"a{self._asked}")
        now = self._time.pass_by(_SECONDS.get(str(ask["ask"]), _OTHERWISE))
        line = self._control.feed(0, json.dumps(ask).encode() + b"\n", now)
        try:
            return parse_reply(line.decode(), ask)
        except MalformedReply as problem:
            return Reply(ReplyKind.STOP, str(problem))


def _no_plugs() -> Plugs:
    """Nothing is pulled, warmed or ended in the middle of a test here."""
    return Plugs(lambda port, seconds: None, lambda kelvin: None, dict, lambda: None)

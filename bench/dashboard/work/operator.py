"""The operator as a person before the window: each request becomes a card, each answer an order."""

from __future__ import annotations

from dataclasses import dataclass

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Enter, Excite, OperatorRequest
from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders

__all__ = ["Answer", "WindowOperator"]


@dataclass(frozen=True)
class Answer:
    """The reply to the asking of that number; one to an earlier asking is for nobody."""

    number: int
    reply: Reply


class WindowOperator:
    """keyless: a meter on a line watches, so that volts that can hurt need no key to be confirmed."""

    def __init__(self, bridge: Bridge, orders: Orders, *, keyless: bool) -> None:
        self._bridge, self._orders, self._keyless = bridge, orders, keyless
        self._asked = 0

    def ask(self, request: OperatorRequest) -> Reply:
        zero = isinstance(request, Excite) and request.volts == 0
        if not zero:
            stopped = self._orders.stopped()
            if stopped:
                return Reply(ReplyKind.STOP, stopped)
        self._asked += 1
        number = self._asked
        if self._keyless and isinstance(request, Excite) and request.hazard > HANDS_OFF_VOLTS:
            self._bridge.tell(told.Awaits(number, request, keyless=True))
            return Reply(ReplyKind.DONE)
        self._bridge.tell(told.Awaits(number, request))
        while True:
            order = self._orders.wait()
            if isinstance(order, Answer) and order.number == number and _fits(order.reply, request):
                self._bridge.tell(told.Answered(number, order.reply.kind))
                return order.reply

    def make_safe(self, request: Excite) -> None:
        """Asked for until it is done, whatever broke the test off; a window that is gone has asked already."""
        while not self._bridge.closed and self.ask(request).kind is not ReplyKind.DONE:
            pass


def _fits(reply: Reply, request: OperatorRequest) -> bool:
    """A value where one is due, else done; a skip or a stop always."""
    if reply.kind in (ReplyKind.SKIP, ReplyKind.STOP):
        return True
    return (reply.kind is ReplyKind.VALUE) == isinstance(request, Enter)

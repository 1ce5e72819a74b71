"""The operator as a person at a terminal."""

from __future__ import annotations

from collections.abc import Callable

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest
from bench.job.model import Job
from bench.quantities import show

__all__ = ["SKIP_REASONS", "TerminalOperator"]

SKIP_REASONS = ("no instrument for it", "not needed here", "can't reach it", "later")

_NO_KEY = "no key: the reading is taken by itself when it stands still; Ctrl-C stops the test, volts to zero first"
_HELP = "Enter = done   s = skip this step   q = stop the test"


class TerminalOperator:
    """Prints what to do and reads the answer; the end of input means stop.

    keyless: a meter on a line watches, so that volts that can hurt need no key to be confirmed: the reading is taken
    when it stands still where it should.  Volts to zero are confirmed by a key, since nothing is live then.
    """

    def __init__(
        self,
        job: Job,
        say: Callable[[str], None],
        read: Callable[[str], str],
        ring: Callable[[], None] = lambda: None,
        *,
        keyless: bool = False,
    ) -> None:
        self._job = job
        self._say = say
        self._read = read
        self._ring = ring
        self._keyless = keyless
        self._told_keys = False

    def ask(self, request: OperatorRequest) -> Reply:
        self._say("")
        for caution in request.cautions:
            self._say(f"  !  {caution}")
        for line in self._lines(request):
            self._say(line)
        if not self._told_keys:
            self._say(f"  ({_HELP})")
            self._told_keys = True
        self._ring()
        if self._keyless and isinstance(request, Excite) and request.hazard > HANDS_OFF_VOLTS:
            self._say(f"  ({_NO_KEY})")
            return Reply(ReplyKind.DONE)
        prompt = f"  {request.quantity} [{request.unit}]: " if isinstance(request, Enter) else "  done? "
        while True:
            try:
                answer = self._read(prompt).strip()
            except EOFError:
                return Reply(ReplyKind.STOP, "end of input")
            if answer.lower() in ("q", "quit", "stop"):
                return Reply(ReplyKind.STOP, self._reason("Why stop?"))
            if answer.lower() in ("s", "skip"):
                return Reply(ReplyKind.SKIP, self._reason("Why skip?"))
            if isinstance(request, Enter):
                if answer:
                    return Reply(ReplyKind.VALUE, answer)
                self._say(f"  a value is due, such as 12.5 {request.unit}; or s to skip, q to stop")
            elif answer.lower() in ("", "y", "yes", "done", "ok"):
                return Reply(ReplyKind.DONE)
            else:
                self._say(f"  {_HELP}")

    def make_safe(self, request: Excite) -> None:
        """Said and not waited for: whoever presses Ctrl-C wants the prompt back."""
        self._say("")
        self._say(f"  !  Volts to zero on {request.winding} now, and unplug, before you touch the unit.")

    def _reason(self, question: str) -> str:
        for number, reason in enumerate(SKIP_REASONS, start=1):
            self._say(f"    {number}  {reason}")
        try:
            answer = self._read(f"  {question} (number or words) ").strip()
        except EOFError:
            return "end of input"
        if answer.isdigit() and 1 <= int(answer) <= len(SKIP_REASONS):
            return SKIP_REASONS[int(answer) - 1]
        return answer or "no reason given"

    def _lines(self, request: OperatorRequest) -> list[str]:
        match request:
            case Confirm():
                return [f"> {request.text}"]
            case Enter(reading_of=Connect() as place):
                return [f"> {request.text}", *self._places(place)]
            case Enter():
                return [f"> {request.text}"]
            case Connect():
                return [f"> {request.text}", *self._places(request)]
            case Load(ohms=None):
                return [f"> Take the load off {request.winding}."]
            case Load():
                places = f"{self._named(request.from_terminal)} and {self._named(request.to_terminal)}"
                return [
                    f"> {request.text or f'Load {request.winding}.'}",
                    f"  {show(request.ohms or 0.0, 'ohm')} on {places}: {show(request.amps, 'A')}, "
                    f"{show(request.watts, 'W')} of heat; it gets hot.",
                ]
            case Excite(volts=0.0):
                return [f"> {request.text or 'Volts to zero, supply off.'}"]
            case Excite():
                limiter = " through the limiter" if request.limiter else ""
                series = "" if request.series_ohms is None else f", {request.series_ohms:g} ohm in series"
                places = f"{self._named(request.from_terminal)} and {self._named(request.to_terminal)}"
                return [
                    f"> Feed {request.winding}{limiter}{series}: {show(request.volts, 'V')}, {request.hertz:g} Hz, "
                    f"from the {request.source}, on {places}.",
                    f"  The most on any terminal of this unit: {request.hazard:.0f} V.",
                ]

    def _places(self, place: Connect) -> list[str]:
        lines = [f"  {place.quantity} from {self._named(place.from_terminal)} to {self._named(place.to_terminal)}"]
        lines += [f"  join {self._named(a)} and {self._named(b)}" for a, b in place.links]
        return lines

    def _named(self, terminal: str) -> str:
        """A terminal with the tag and colour of its lead: `ht.centre, 4 (red-yellow)`."""
        marks = self._job.marks(terminal)
        return f"{terminal}, {marks}" if marks else terminal

"""The operator as a person at a terminal."""

from __future__ import annotations

from collections.abc import Callable

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Enter, Excite, OperatorRequest, Wait
from bench.job.model import Job
from bench.operators.request_lines import request_lines
from bench.operators.waiting import Pause

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
        pause: Pause | None = None,
    ) -> None:
        self._job = job
        self._say = say
        self._read = read
        self._ring = ring
        self._pause = pause
        self._keyless = keyless
        self._told_keys = False

    def ask(self, request: OperatorRequest) -> Reply:
        self._say("")
        for caution in request.cautions:
            self._say(f"  !  {caution}")
        for line in request_lines(request, self._job, counts_down=self._pause is not None):
            self._say(line)
        if not self._told_keys:
            self._say(f"  ({_HELP})")
            self._told_keys = True
        if isinstance(request, Wait) and self._pause is not None:
            early = self._wait(request, self._pause)
            if early is not None:
                return early
            self._ring()
            return Reply(ReplyKind.DONE)
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

    def _wait(self, request: Wait, pause: Pause) -> Reply | None:
        """None when the time is over; how it was cut short otherwise."""
        if pause.run(request.seconds):
            return None
        try:
            answer = self._read("  End it early? Why (in words), or q to stop the test: ").strip()
        except EOFError:
            return Reply(ReplyKind.STOP, "end of input")
        if answer.lower() in ("q", "quit", "stop"):
            return Reply(ReplyKind.STOP, self._reason("Why stop?"))
        return Reply(ReplyKind.SKIP, f"ended early: {answer or 'no reason given'}")

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

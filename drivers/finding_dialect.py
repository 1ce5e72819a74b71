"""Learns the habits of an unknown meter by harmless questions: feed it what came, it says what to ask next; no I/O.

Every message is a question that only tells, or a bare terminator. Nothing selects a function or a range, triggers,
clears, or takes the meter from its panel. A question that a meter does not know may make it beep and leave an entry
in its error queue; the queue is read until it is empty.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace

from drivers.finding_frame import IDENTITY, SIGNS_OF_LIFE, Ask, Call, FrameFound, FrameSearch, Patience
from drivers.frames import COMMON_FRAMES, FRAMES
from drivers.harmless import harmless
from drivers.heard import Heard, is_text, read_back, shape_of, without_flow
from drivers.line_settings import Flow, LineSettings
from drivers.met import Met, NotMet, Why
from drivers.met_so_far import Notes, answering_lines, is_error, is_identity, note_manners
from drivers.meter_profile import MeterProfile
from drivers.scpi import parse_error

__all__ = ["ENDS", "NONSENSE", "TOTAL_S", "DialectSearch"]

TOTAL_S = 150.0
"""Never longer than this, whatever is on the line, s."""

NONSENSE = "QQQ?"
"""A question that no meter knows: what comes is how this one says so."""

ENDS = (b"\n", b"\r", b"\r\n")
_ERROR_QUERIES = ("SYST:ERR?", "SYST:ERR:NEXT?", "STAT:QUE?")
_FUNCTION_QUERIES = ("CONF?", "FUNC?", "FUNC1?")
_VALUE_QUERIES = ("FETC?", "VAL1?", "VAL?")
_RANGE_QUERIES = ("VOLT:AC:RANG?", "VOLT:DC:RANG?", "CURR:AC:RANG?", "RES:RANG?", "FRES:RANG?")
_ERRORS_MOST = 32
_LATE_TRIES = 3

Answering = Generator[Ask, bytes, str | None]
Hearing = Generator[Ask, bytes, Heard]
Learning = Generator[Ask, bytes, None]


class DialectSearch:
    """`ask` is what to do next, None at the end; `feed` takes what came. `found` then says what was learnt.

    frames, common: what the port offers, and the part worth several ways of asking; a socket has one frame, and so
    has a port whose frame a person knows. known: dialects whose questions are asked too, as far as they are harmless.
    """

    def __init__(
        self,
        now: float,
        *,
        frames: Sequence[LineSettings] = FRAMES,
        common: Sequence[LineSettings] = COMMON_FRAMES,
        known: Sequence[MeterProfile] = (),
        patience: Patience | None = None,
        total_s: float = TOTAL_S,
    ) -> None:
        self._patience = patience or Patience()
        self._known = tuple(known)
        self._identities = tuple(
            dict.fromkeys([IDENTITY, *(each.identity_query for each in known if not each.identity_is_probe)])
        )
        self._frames = FrameSearch(
            frames,
            [each for each in common if each in frames] or frames,
            self._patience,
            # Levels that are raised again make some boards start anew: what needs them low comes last.
            sorted(dict.fromkeys(_first_call(each, frames) for each in known), key=_lowers_levels),
        )
        self._give_up = now + total_s
        self._asked_at = now
        self._slowest = 0.0
        self._notes: Notes | None = None
        self._cut_short = False
        self._holds_back = False
        self._why = ""
        self._steps = self._run()
        self.ask: Ask | None = next(self._steps)

    @property
    def found(self) -> Met | NotMet:
        """What is known of the meter, or why nothing is; whole once `ask` is None."""
        return self._not_met() if self._notes is None else self._met(self._notes)

    def feed(self, data: bytes, now: float) -> None:
        """Take what came after `ask` (b"" for silence), at the monotonic time `now`, s."""
        if self.ask is None:
            return
        bare = without_flow(data)
        if bare != data and is_text(bare):
            self._holds_back, data = True, bare
        if data and self._notes is not None and self.ask.text:
            self._slowest = max(self._slowest, now - self._asked_at)
        self._asked_at = now
        if now >= self._give_up:
            self._cut_short = True
            self._steps.close()
            self.ask = None
            return
        try:
            self.ask = self._steps.send(data)
        except StopIteration:
            self.ask = None

    def refuse_frame(self, now: float) -> None:
        """The port can't be set to the frame of `ask`: silence there is nobody's fault."""
        if self.ask is not None:
            self._frames.refused.add(str(self.ask.frame))
            self.feed(b"", now)

    # -- the course of it --------------------------------------------------------------------------

    def _run(self) -> Learning:
        found = yield from self._frames.run()
        if found is None:
            return
        self._patience = found.patience
        notes = self._notes = Notes(found.frame, found.terminator, stream=found.stream, received=found.end)
        yield from self._hear_stream(notes)
        fence = yield from self._first_question(notes, found)
        if fence is None:
            return
        yield from self._learn_terminators(notes, fence)
        yield from self._learn_errors(notes, fence)
        for text in (*self._identities, *_FUNCTION_QUERIES, *_VALUE_QUERIES):
            yield from self._answer(notes, text, fence)
        for text in self._questions_of_likely(notes):
            yield from self._answer(notes, text, fence)
        silent = 0
        for text in _RANGE_QUERIES:
            answer = yield from self._answer(notes, text, fence)
            silent += answer is None
            if silent == 2 and not notes.answers.keys() & set(_RANGE_QUERIES):
                break
        yield from self._drain_errors(notes, fence)

    def _hear_stream(self, notes: Notes) -> Learning:
        """Whether the meter talks without being asked, in the frame where it answered."""
        if notes.stream:
            return
        data = yield Ask.listen(notes.frame, self._patience.listen_s, f"listening at {notes.frame}")
        heard = read_back(data, "") if is_text(data) else Heard()
        if heard.repeats:
            notes.stream, notes.received = heard.lines[1:], heard.end

    def _first_question(self, notes: Notes, found: FrameFound) -> Answering:
        """The question that is answered for sure and that gets us back in step; None where there is none."""
        asked = tuple(dict.fromkeys((*found.messages, *self._identities, *SIGNS_OF_LIFE, "CONF?", *_VALUE_QUERIES)))
        for end in dict.fromkeys((found.terminator, *ENDS)):
            if end != notes.terminator:
                notes.terminator = end
                yield from self._hear(notes, "")
            for text in asked:
                answered = yield from self._is_answered(notes, text)
                if answered:
                    return text
            if not (notes.unknown_header or notes.prompts or notes.acknowledges):
                break
            # It talks back but takes nothing: perhaps one of CR and LF is a part of the message for it.
        notes.terminator = found.terminator
        return None

    def _is_answered(self, notes: Notes, text: str) -> Generator[Ask, bytes, bool]:
        """Whether it answers the question, twice, and otherwise than nonsense."""
        first = yield from self._hear(notes, text)
        notes.echo = notes.echo or first.echo
        note_manners(notes, first)
        content = answering_lines(notes, first)
        if not content:
            return False
        if first.end is not None and content[0] != first.tail:
            notes.received = first.end
        second = yield from self._hear(notes, text)
        if notes.unknown_header is None:
            nonsense = yield from self._hear(notes, NONSENSE)
            note_manners(notes, nonsense)
            notes.unknown_header = next((line.strip() for line in answering_lines(notes, nonsense)), "")
        answer = content[0].strip()
        if not answering_lines(notes, second) or answer == notes.unknown_header:
            return False
        if is_error(answer, text) or (text in self._identities and not is_identity(answer)):
            return False
        notes.answers[text] = answer
        return True

    def _learn_terminators(self, notes: Notes, fence: str) -> Learning:
        found = notes.terminator
        for end in ENDS:
            if end == found:
                notes.obeyed.append(end)
                continue
            notes.terminator = end
            # Twice: what it takes for the beginning of the next message shows only then.
            first = yield from self._hear(notes, fence)
            heard = yield from self._hear(notes, fence)
            notes.terminator = found
            answer = notes.answers[fence]
            if self._matches(answering_lines(notes, first), answer, fence) and self._matches(
                answering_lines(notes, heard), answer, fence
            ):
                notes.obeyed.append(end)
            else:
                # What it took for half a message is ended, and its answer thrown away.
                yield from self._hear(notes, "")
                yield from self._in_step(notes, fence)
        notes.terminator = notes.obeyed[0]
        empty = yield from self._hear(notes, "")
        note_manners(notes, empty)

    def _learn_errors(self, notes: Notes, fence: str) -> Learning:
        of_known = [each.error_query for each in self._known if each.error_query and harmless(each.error_query)]
        for text in dict.fromkeys((*_ERROR_QUERIES, *of_known)):
            answer = yield from self._entry(notes, text, fence)
            if answer is not None and self._error_code(text, answer) is not None:
                notes.error_query = text
                break
        yield from self._drain_errors(notes, fence)

    def _drain_errors(self, notes: Notes, fence: str) -> Learning:
        """Read the error queue until it is empty; what our own questions left there goes with it."""
        query = notes.error_query
        if query is None:
            return
        for _ in range(_ERRORS_MOST):
            answer = yield from self._entry(notes, query, fence)
            code = None if answer is None else self._error_code(query, answer)
            if answer is None or code is None:
                return
            if code == 0:
                notes.no_error = answer
                return
            notes.first_error = notes.first_error or answer

    def _entry(self, notes: Notes, query: str, fence: str) -> Answering:
        """One entry of the error queue; one that quotes what was said in a wrong frame is unreadable, and passed by."""
        for _ in range(_ERRORS_MOST):
            damaged = notes.damaged
            answer = yield from self._answer(notes, query, fence)
            if answer is not None or notes.damaged == damaged or notes.stopped:
                return answer
            notes.unanswered.remove(query)
        return None

    def _error_code(self, query: str, answer: str) -> int | None:
        """The code in an entry of the error queue, in the usual form or in that of a known dialect."""
        error = parse_error(answer.encode("ascii", "replace"))
        if error is not None:
            return error.code
        for profile in self._known:
            if profile.error_query == query and profile.error_form is not None:
                match = profile.error_form.fullmatch(answer)
                if match is not None and (match["code"] or "").lstrip("+-").isdigit():
                    return int(match["code"] or "0")
        return None

    def _questions_of_likely(self, notes: Notes) -> list[str]:
        """What the dialects whose first call was answered ask about function and range, as far as it is harmless."""
        asked: list[str] = []
        for profile in self._known:
            answer = notes.answers.get(profile.identity_query)
            if answer is None or profile.identity_pattern.fullmatch(answer) is None:
                continue
            for function in profile.functions.values():
                asked += [check.query for check in function.verify]
        tried = {*notes.answers, *notes.unanswered, *_RANGE_QUERIES}
        return [text for text in dict.fromkeys(asked) if harmless(text) and text not in tried]

    def _answer(self, notes: Notes, text: str, fence: str) -> Answering:
        """The answer to a question, None where there is none; what is known already is not asked again."""
        if notes.stopped:
            return None
        if text in notes.unanswered or (text in notes.answers and text != notes.error_query):
            return notes.answers.get(text)
        heard = yield from self._hear(notes, text)
        note_manners(notes, heard)
        content = answering_lines(notes, heard)
        if not content:
            content = yield from self._in_step(notes, fence)
        answer = content[0].strip() if content else ""
        if not answer or answer == notes.unknown_header or is_error(answer, text):
            if text not in notes.unanswered:
                notes.unanswered.append(text)
            return None
        notes.answers[text] = answer
        return answer

    def _in_step(self, notes: Notes, fence: str) -> Generator[Ask, bytes, list[str]]:
        """Ask what is surely answered; lines that come before its answer are the late one of the question before."""
        late: list[str] = []
        for _ in range(_LATE_TRIES):
            heard = yield from self._hear(notes, fence, self._why)
            content = answering_lines(notes, heard)
            if content and self._matches(content[-1:], notes.answers[fence], fence):
                return late + content[:-1]
            late += content
        notes.stopped = f"it stopped answering {fence}"
        return []

    def _matches(self, content: list[str], answer: str, fence: str) -> bool:
        """Whether the fence was answered: an identity word for word, other answers by their shape."""
        if not content:
            return False
        last = content[-1].strip()
        return last == answer if fence in self._identities else shape_of(last) == shape_of(answer)

    def _hear(self, notes: Notes, text: str, why: str = "") -> Hearing:
        """One exchange; `why` where it belongs to the one before, else in words of its own."""
        data = text.encode("ascii") + notes.terminator
        usual = f"asking {text} at {notes.frame}" if text else f"sending a bare terminator at {notes.frame}"
        self._why = why = why or usual
        came = yield Ask.message(notes.frame, text, data, why, self._patience)
        if is_text(came):
            return read_back(came, text, notes.received)
        notes.damaged += bool(came)
        return Heard()

    # -- what came of it ---------------------------------------------------------------------------

    def _met(self, notes: Notes) -> Met:
        fence = next(iter(notes.answers), None)
        named = next((each for each in self._identities if is_identity(notes.answers.get(each, ""))), None)
        return Met(
            frame=notes.frame,
            obeyed=tuple(notes.obeyed or [notes.terminator]),
            received=notes.received,
            echo=notes.echo,
            xon_xoff=self._holds_back,
            prompts=tuple(notes.prompts),
            prompt_ends_line=notes.prompt_ends_line,
            acknowledges=tuple(notes.acknowledges),
            identity_query=named,
            identity=None if named is None else notes.answers[named],
            probe=fence if named is None else None,
            error_query=notes.error_query,
            no_error=notes.no_error,
            first_error=notes.first_error,
            answers=dict(notes.answers),
            unanswered=tuple(each for each in notes.unanswered if each not in notes.answers),
            unknown_header=notes.unknown_header,
            stream=notes.stream,
            banner=self._frames.banner,
            slowest_s=self._slowest,
            stopped=notes.stopped,
            cut_short=self._cut_short,
        )

    def _not_met(self) -> NotMet:
        search = self._frames
        why = Why.ECHOES if search.echoes else Why.UNREADABLE if search.garbled else Why.SILENT
        return NotMet(
            why=why,
            tried=len(search.tried - search.refused),
            refused=tuple(sorted(search.refused)),
            heard=dict(search.garbled),
            echoes=search.echoes,
            banner=search.banner,
            cut_short=self._cut_short,
        )


def _first_call(profile: MeterProfile, frames: Sequence[LineSettings]) -> Call:
    # Flow can't be found by asking, and a line held back by a wrong one blocks: nothing is sent that needs it.
    call = profile.first_call
    frame = replace(call.line, flow=Flow.NONE, open_settle_s=0.0) if len(frames) > 1 else frames[0]
    return Call(frame, call.query, call.terminator_sent)


def _lowers_levels(call: Call) -> bool:
    return not (call.frame.dtr and call.frame.rts)

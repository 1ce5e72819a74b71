"""Looks for the frame in which an unknown meter answers, by harmless questions; no I/O."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Sequence
from dataclasses import dataclass, field, replace

from drivers.frames import frame_time
from drivers.heard import is_text, read_back, shape_of, shifted_frame
from drivers.line_settings import LineSettings, Parity

__all__ = ["IDENTITY", "SIGNS_OF_LIFE", "Ask", "Call", "FrameFound", "FrameSearch", "Patience", "Steps"]

IDENTITY = "*IDN?"
# What a meter without an identity may answer. All only tell: none selects, triggers or clears.
SIGNS_OF_LIFE = (IDENTITY, "SYST:ERR?", "FUNC?", "FUNC1?", "VAL1?")

_LONGEST_ANSWER = 120
_SLOWER = 4.0


@dataclass(frozen=True, slots=True)
class Patience:
    """How long to wait, s.

    answer_s: for the first byte of an answer. quiet_s: without another byte, until it is taken as whole; also the
    least pause between two messages. listen_s: at first: boards that start anew when the port opens need so long,
    and a meter that talks by itself is heard.
    """

    answer_s: float = 0.7
    quiet_s: float = 0.25
    listen_s: float = 2.0

    def slower(self) -> Patience:
        return replace(self, answer_s=_SLOWER * self.answer_s)


@dataclass(frozen=True, slots=True)
class Ask:
    """What to do next: set the line to `frame`, send `data`, and collect what comes.

    first_s: so long for the first byte. quiet_s: after so long without another it is over. most_s: then
    it is over in any case. text: the message without its terminator. why: progress in words.
    """

    frame: LineSettings
    data: bytes
    text: str
    first_s: float
    quiet_s: float
    most_s: float
    why: str

    @classmethod
    def message(cls, frame: LineSettings, text: str, data: bytes, why: str, patience: Patience) -> Ask:
        """Ask for one answer, with the time that it takes on the line."""
        first = patience.answer_s + frame_time(frame, len(data))
        most = first + 4.0 * patience.quiet_s + 2.0 * frame_time(frame, _LONGEST_ANSWER)
        return cls(frame, data, text, first, patience.quiet_s, most, why)

    @classmethod
    def listen(cls, frame: LineSettings, seconds: float, why: str) -> Ask:
        """Say nothing and hear what comes by itself."""
        return cls(frame, b"", "", seconds, seconds, seconds, why)


@dataclass(frozen=True, slots=True)
class Call:
    """What a known dialect is asked first, in the frame that it is usually set to."""

    frame: LineSettings
    text: str
    terminator: bytes


@dataclass(frozen=True, slots=True)
class FrameFound:
    """A frame in which the meter is read. messages: of which at least one was answered. stream: lines that came
    unasked; end: what ended them."""

    frame: LineSettings
    messages: tuple[str, ...]
    terminator: bytes
    patience: Patience
    stream: tuple[str, ...] = ()
    end: bytes | None = None


Steps = Generator[Ask, bytes, FrameFound | None]


@dataclass
class FrameSearch:
    """Tries frame after frame. What was heard on the way stays in its attributes, whether a frame was found or not.

    frames: all that the port offers, the commonest first; common: those that are worth more than one way of asking;
    calls: what known dialects are asked first.
    echoes: the frame in which only our own words came back. garbled: the first bytes by frame, where they were no text.
    """

    frames: Sequence[LineSettings]
    common: Sequence[LineSettings]
    patience: Patience
    calls: Sequence[Call] = ()
    banner: str = ""
    echoes: str = ""
    garbled: dict[str, bytes] = field(default_factory=dict)
    tried: set[str] = field(default_factory=set)
    refused: set[str] = field(default_factory=set)
    _last: bytes = b""
    _slowly: set[str] = field(default_factory=set)

    def run(self) -> Steps:
        """Yields what to ask, is sent what came; returns the frame, or None where none answered readably."""
        first = self.frames[0]
        data = yield Ask.listen(first, self.patience.listen_s, f"listening at {first}")
        stream = self._unasked(first, data)
        if stream is not None:
            return stream
        if self.garbled:
            found = yield from self._listen_everywhere()
            if found is not None:
                return found
        for messages, terminator, frames in (
            ((IDENTITY,), b"\r\n", self.frames),
            *(((call.text,), call.terminator, [call.frame]) for call in self.calls),
            (SIGNS_OF_LIFE, b"\r\n", self.common),
            (SIGNS_OF_LIFE, b"\n", self.common),
            (SIGNS_OF_LIFE, b"\r", self.common),
        ):
            found = yield from self._pass(messages, terminator, frames)
            if found is not None:
                return found
        return None

    def _pass(self, messages: tuple[str, ...], terminator: bytes, frames: Sequence[LineSettings]) -> Steps:
        waiting = deque(frame for frame in frames if str(frame) not in self.refused)
        before: LineSettings | None = None
        while waiting:
            frame = waiting.popleft()
            found = yield from self._try(frame, messages, terminator, self.patience)
            if found is None and self._last and before is not None and str(before) not in self._slowly:
                # Perhaps the answer to the question before, that came after its time and so in another frame.
                self._slowly.add(str(before))
                found = yield from self._try(before, messages, terminator, self.patience.slower())
            if found is not None:
                return found
            _promote(waiting, frame, self._last)
            before = frame
        return None

    def _try(self, frame: LineSettings, messages: tuple[str, ...], terminator: bytes, patience: Patience) -> Steps:
        # A bare terminator first ends what an earlier program left half said.
        data = terminator + b"".join(text.encode("ascii") + terminator for text in messages)
        asked = Ask.message(frame, messages[0], data, _why(messages, terminator, frame), patience)
        self._last = yield asked
        said = self._shapes(frame, messages, self._last)
        if self._last and not said:
            # What was said in wrong frames lay in its input, and came back with the echo or the error.
            second = yield asked
            said = self._shapes(frame, messages, second)
        if said:
            again = yield asked
            if said & self._shapes(frame, messages, again):
                return FrameFound(frame, messages, terminator, patience)
        return None

    def _listen_everywhere(self) -> Steps:
        """Something talks by itself, unreadably: find the frame by ear."""
        waiting = deque(self.frames)
        while waiting:
            frame = waiting.popleft()
            most = self.patience.listen_s
            why = f"something talks by itself: listening at {frame}"
            came = yield Ask(frame, b"", "", most, self.patience.quiet_s, most, why)
            if self._shapes(frame, (), came):
                longer = yield Ask.listen(frame, self.patience.listen_s, f"listening longer at {frame}")
                stream = self._unasked(frame, longer)
                if stream is not None:
                    return stream
            _promote(waiting, frame, came)
        return None

    def _unasked(self, frame: LineSettings, data: bytes) -> FrameFound | None:
        """Lines that come over and over without being asked; a banner comes once."""
        if not self._shapes(frame, (), data):
            return None
        heard = read_back(data, "")
        if heard.repeats:
            return FrameFound(frame, (), b"\r\n", self.patience, heard.lines[1:], heard.end)
        self.banner = self.banner or " / ".join(line.strip() for line in heard.lines)
        return None

    def _shapes(self, frame: LineSettings, messages: tuple[str, ...], data: bytes) -> set[str]:
        """What was heard that is not our own words, digits made alike; notes what is unreadable."""
        self.tried.add(str(frame))
        if not data:
            return set()
        if not is_text(data):
            self.garbled.setdefault(str(frame), data[:32])
            return set()
        heard = read_back(data, "")
        own = {*messages, "".join(messages)}
        said = {shape_of(line) for line in heard.all if line.strip() not in own}
        if not said and messages:
            self.echoes = self.echoes or str(frame)
        return said


def _why(messages: tuple[str, ...], terminator: bytes, frame: LineSettings) -> str:
    how = {b"\n": ", lines ended by LF alone", b"\r": ", lines ended by CR alone"}.get(terminator, "")
    if messages == (IDENTITY,):
        return f"asking who it is at {frame}{how}"
    what = "for any sign of life" if len(messages) > 1 else messages[0]
    return f"asking {what} at {frame}{how}"


def _promote(waiting: deque[LineSettings], frame: LineSettings, data: bytes) -> None:
    """Text of seven bits with parity, heard with eight, tells the frame to try next."""
    parity = shifted_frame(data)
    if parity is None:
        return
    for each in waiting:
        if (each.baud_rate, each.data_bits, each.parity) == (frame.baud_rate, 7, Parity(parity)):
            waiting.remove(each)
            waiting.appendleft(each)
            return

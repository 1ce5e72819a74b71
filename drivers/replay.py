"""A recorded exchange that answers in the instrument's place, and notices when it is asked something else."""

from __future__ import annotations

import errno
import json
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from drivers.errors import OutOfStep, PortMissing
from drivers.wire_log import decode_payload

__all__ = ["Replay"]


@dataclass(slots=True)
class _Step:
    number: int
    kind: str
    data: bytes


class Replay:
    """Plays a wire log: what came in comes again as soon as what went out before it has been sent again.

    Raises PortMissing for a file that is no wire log, OutOfStep when other bytes are sent than were
    recorded. Times are not kept.
    """

    def __init__(self, file: str, *, sleep: Callable[[float], None] = time.sleep) -> None:
        self._file = file
        self._sleep = sleep
        self._steps = _load(file)

    def read(self, timeout_s: float) -> bytes:
        if self._steps and self._steps[0].kind == "in":
            return self._steps.popleft().data
        if self._steps and self._steps[0].kind == "lost":
            self._steps.popleft()
            raise OSError(errno.EIO, "the recorded line went away here")
        self._sleep(timeout_s)
        return b""

    def write(self, data: bytes) -> None:
        while data:
            step = self._steps[0] if self._steps else None
            if step is None or step.kind != "out":
                raise OutOfStep(f"{self._where(step)}: {data!r} was sent, the recording sends nothing here")
            shared = min(len(data), len(step.data))
            if data[:shared] != step.data[:shared]:
                raise OutOfStep(f"{self._where(step)}: {data!r} was sent, the recording has {step.data!r}")
            data, step.data = data[shared:], step.data[shared:]
            if not step.data:
                self._steps.popleft()

    def close(self) -> None:
        """Nothing to let go of."""

    @property
    def left_over(self) -> int:
        """Steps of the recording that were not played."""
        return len(self._steps)

    def _where(self, step: _Step | None) -> str:
        return f"replay {self._file}, " + (f"line {step.number}" if step else "after its end")


def _load(file: str) -> deque[_Step]:
    try:
        lines = Path(file).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise PortMissing(f"replay://{file}: can't be read ({error}); expected a wire log") from error
    steps: deque[_Step] = deque()
    for number, line in enumerate(lines, start=1):
        try:
            entry = json.loads(line)
            kind = entry.get("dir") or entry.get("event")
            if kind in ("in", "out"):
                steps.append(_Step(number, kind, decode_payload(entry)))
            elif kind == "lost":
                steps.append(_Step(number, kind, b""))
            elif kind not in ("opened", "closed"):
                raise ValueError("expected bytes that went in or out, or opened, lost or closed")
        except (ValueError, AttributeError) as error:
            raise PortMissing(f"replay://{file}, line {number}: not an entry of a wire log ({error})") from error
    return steps

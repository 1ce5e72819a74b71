"""What is to lie where, whether something of somebody else's lies there, and putting it there or taking it away."""

from __future__ import annotations

import contextlib
import hashlib
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from bench.sitting.problems import BadInput
from bench.sitting.written_file import write_whole

__all__ = ["Placed", "State", "place", "remove", "signed"]


class State(Enum):
    """What lies at the place of a file, in words."""

    ABSENT = "not there"
    SAME = "there already, just so"
    OLDER = "there as another version of turnproof wrote it"
    FOREIGN = "there, and not as turnproof wrote it"


@dataclass(frozen=True)
class Placed:
    """A file of ours: what it is for, where it lies, what stands in it."""

    what: str
    path: Path
    text: str

    @property
    def state(self) -> State:
        """Raises BadInput where what lies there can't be read."""
        if self.path.is_symlink():
            return State.FOREIGN
        try:
            there = self.path.read_text(encoding="utf-8")
        except (FileNotFoundError, NotADirectoryError):
            return State.ABSENT
        except (IsADirectoryError, UnicodeDecodeError):
            return State.FOREIGN
        except OSError as problem:
            raise BadInput(f"{self.path}: can't be read: {problem.strerror}") from None
        if there == self.text:
            return State.SAME
        return State.OLDER if _is_ours(there) else State.FOREIGN


def signed(text: str, comment: str = "# {}") -> str:
    """A text with its sum in a comment behind it, by which it is known again as ours and as not changed by anybody."""
    return f"{text}{comment.format(f'{_MARK} {_sum(text)}')}\n"


_MARK = "written by turnproof, sum"


def _sum(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _is_ours(there: str) -> bool:
    """Whether the last line holds the sum of all before it."""
    *before, last = there.splitlines(keepends=True) or [""]
    return f"{_MARK} {_sum(''.join(before))}" in last


def place(file: Placed) -> str:
    """Write a file whole, or leave what is there and is not ours; says what was done.  Raises BadInput."""
    state = file.state
    if state is State.SAME:
        return f"{file.path}: {state.value}"
    if state is State.FOREIGN:
        raise BadInput(f"{file.path}: {state.value}: nothing was written; move it away first if you don't need it")
    try:
        file.path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise BadInput(f"{file.path.parent}: can't be made: {problem.strerror}") from None
    write_whole(file.path, file.text, over=state is State.OLDER)
    return f"{file.path}: {'written' if state is State.ABSENT else 'brought up to date'}"


def remove(file: Placed) -> str:
    """Take a file of ours away, and nothing else; says what was done.  Raises BadInput."""
    state = file.state
    if state is State.ABSENT:
        return f"{file.path}: {state.value}"
    if state is State.FOREIGN:
        raise BadInput(f"{file.path}: {state.value}: it was left")
    try:
        file.path.unlink()
    except OSError as problem:
        raise BadInput(f"{file.path}: can't be taken away: {problem.strerror}") from None
    with contextlib.suppress(OSError):
        file.path.parent.rmdir()  # only where nothing else lies in it
    return f"{file.path}: taken away"

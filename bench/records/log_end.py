"""Whether the write-ahead log ends in the middle of an entry, by the file itself before anything is written over it.

Its format is public: https://www.sqlite.org/fileformat2.html#walformat
"""

from __future__ import annotations

import struct
from itertools import pairwise
from pathlib import Path

__all__ = ["ends_unfinished", "log_of", "log_size"]

_HEADER, _FRAME_HEADER = 32, 24
_MAGIC = 0x377F0682
"""Its last bit says that words are summed most significant byte first."""
_LARGEST = 64_000_000
_MOST_ROUNDS = 10_000_000


def log_of(store: Path) -> Path:
    return store.with_name(f"{store.name}-wal")


def log_size(store: Path) -> int:
    """Bytes; 0 where there is none, as after every end in good order."""
    try:
        return log_of(store).stat().st_size
    except OSError:
        return 0


def ends_unfinished(log: Path) -> bool:
    """Whether behind its last whole transaction something of another one stands; ask it under the write lock.

    Of whole frames only those of the last transaction are summed: a frame before them that is damaged takes entries
    with it that were stored, and those are missed by other means.
    """
    try:
        if log.stat().st_size > _LARGEST:
            return False
        data = log.read_bytes()
    except OSError:
        return False
    if len(data) < _HEADER:
        return len(data) > 0
    magic, _, page, _, *salt, first, second = struct.unpack(">8I", data[:_HEADER])
    if magic & ~1 != _MAGIC or page < 512:
        return True
    size = _FRAME_HEADER + page
    frames = [data[at : at + size] for at in range(_HEADER, len(data), size)]
    if frames and len(frames[-1]) < size:
        return True
    ours = [place for place, frame in enumerate(frames) if frame[8:16] == struct.pack(">2I", *salt)]
    if any(_of_no_time(frame, salt[0]) for frame in frames[len(ours) :]):
        return True
    if not ours:
        return False
    commits = [place for place in ours if frames[place][4:8] != bytes(4)]
    if ours[-1] != len(ours) - 1 or not commits or commits[-1] != ours[-1]:
        return True
    begins = commits[-2] + 1 if len(commits) > 1 else 0
    order = ">" if magic & 1 else "<"
    before = frames[begins - 1][16:24] if begins else struct.pack(">2I", first, second)
    chain = [before, *(frame[16:24] for frame in frames[begins : commits[-1] + 1])]
    return any(
        _sum(frame[:8] + frame[_FRAME_HEADER:], was, order) != told
        for frame, (was, told) in zip(frames[begins : commits[-1] + 1], pairwise(chain), strict=True)
    )


def _of_no_time(frame: bytes, salt: int) -> bool:
    """Whether it is no frame of an earlier round of the log either: of those the first salt is smaller by so many
    rounds.  A file that grew before its contents were written holds nothing there."""
    return not 0 <= (salt - int.from_bytes(frame[8:12], "big")) % (1 << 32) < _MOST_ROUNDS


def _sum(data: bytes, before: bytes, order: str) -> bytes:
    first, second = struct.unpack(">2I", before)
    words = struct.unpack(f"{order}{len(data) // 4}I", data)
    for one, other in zip(words[::2], words[1::2], strict=True):
        first = (first + one + second) & 0xFFFFFFFF
        second = (second + other + first) & 0xFFFFFFFF
    return struct.pack(">2I", first, second)

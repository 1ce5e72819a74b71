"""What came of one kind of fault, in a row of the table."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from tests.campaigns.store.judging import command, record_of
from tests.campaigns.store.writer import opened

__all__ = ["Outcome"]


@dataclass
class Outcome:
    """tries: times that it was done;  stored: entries that were shown as stored, over all tries;  lost: those of them
    that were not there afterwards, or not as they were;  unclear: what was said otherwise than in one clear line, or
    not said;  said: times that something was;  note: what else was measured.
    """

    what: str
    tries: int = 0
    stored: int = 0
    lost: list[str] = field(default_factory=list)
    unclear: list[str] = field(default_factory=list)
    said: int = 0
    note: str = ""

    @property
    def bad(self) -> bool:
        return bool(self.lost or self.unclear) or self.tries == 0

    def add(self, other: Outcome) -> None:
        """What came of more of the same."""
        self.tries, self.stored, self.said = (
            self.tries + other.tries,
            self.stored + other.stored,
            self.said + other.said,
        )
        self.lost += other.lost
        self.unclear += other.unclear

    def judge_opening(
        self, home: Path, where: str, expected: tuple[str, ...], *, by_command: bool, due: bool = False
    ) -> None:
        """Another process opens the record and verifies each chain: the command, or the same without its start."""
        if by_command:
            verified = command(home, "record", "verify")
            said, wrong = verified.stderr, [] if verified.returncode == 0 else [f"status {verified.returncode}"]
        else:
            lines, wrong = opened(record_of(home))
            said = "\n".join(lines)
        self.judge_words(where, said, expected, due=due)
        self.lost += [f"{where}: {line}" for line in wrong]

    def judge_words(self, where: str, stderr: str, expected: tuple[str, ...], *, due: bool = False) -> None:
        """One line, and one that is expected here; none only where none is due."""
        lines = [line for line in stderr.splitlines() if line.strip()]
        if not lines and not due:
            return
        self.said += bool(lines)
        if len(lines) != 1 or not any(words in lines[0] for words in expected):
            self.unclear.append(f"{where}: {stderr.strip()[:300] or 'nothing was said'}")

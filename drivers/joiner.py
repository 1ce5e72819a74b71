"""One count out of everything that a counter's line brings."""

from __future__ import annotations

from collections.abc import Mapping

from drivers.counter_profile import CounterProfile
from drivers.counting import BadLine, Bounded, Bridged, Broken, Corrected, Count, JoinerEvent
from drivers.countline import Answer, Damage, Decoded, HallLine, Hello, PlainLine
from drivers.hall_joiner import HallJoiner
from drivers.plain_joiner import PlainJoiner

__all__ = ["BadLine", "Bounded", "Bridged", "Broken", "Corrected", "Count", "CountJoiner", "JoinerEvent"]

_SCHEMA = 1


class CountJoiner:
    """Takes decoded lines with their arrival, gives counts and what happened to them; no I/O.

    The board keeps its count, this keeps the offset to the turns on the coil. The truth lies within a
    count's [low, high] as long as the spindle keeps to the profile's speed and acceleration, and the first
    motion after a setting of a one-sensor counter goes forward.
    """

    def __init__(self, profile: CounterProfile) -> None:
        self._profile = profile
        self._rules: HallJoiner | PlainJoiner = (
            PlainJoiner(profile, profile.plain) if profile.plain is not None else HallJoiner(profile)
        )

    @property
    def count(self) -> Count | None:
        """The count at the last good line, with what was set since; None before the first."""
        return self._rules.count_now()

    def feed(self, decoded: Decoded, at: float, earliest: float | None = None) -> list[JoinerEvent]:
        """What a line means. It arrived between `earliest` (when one looked before) and `at`, monotonic s."""
        since = at if earliest is None else min(earliest, at)
        match decoded, self._rules:
            case Damage(raw, reason), rules:
                if isinstance(rules, PlainJoiner):
                    rules.heard(at)
                return [BadLine(raw, reason, at)]
            case HallLine(), HallJoiner() as rules:
                return rules.feed(decoded, since, at)
            case Hello(), HallJoiner() as rules:
                return rules.hello(decoded, at)
            case Answer(), HallJoiner():
                return []
            case PlainLine(), PlainJoiner() as rules:
                return rules.feed(decoded, since, at)
            case _:
                raise TypeError(f"{type(decoded).__name__} is no line of the form {self._profile.form}")

    def link_back(self) -> None:
        """The line was lost and has been opened anew."""
        if isinstance(self._rules, PlainJoiner):
            self._rules.link_back()

    def set_count(self, turns: float, reason: str, at: float) -> Corrected:
        """A person says where the coil stands; the count is exact again, at rest and before going forward.

        Before the first line it applies to that one. While a plain counter moves, what its last line may
        be wrong by stays.
        """
        before = self.count
        self._rules.set_count(turns)
        return Corrected(before, turns, reason, at)

    def leave_out(self, turns: float) -> None:
        """So many turns of the spindle, signed, were none of the coil's, such as those while it was off the machine.

        What is not certain about the count stays so.
        """
        self._rules.position.leave_out(turns)

    def turn_sense(self) -> None:
        """From here on the counter's number rises as turns come off, or again as they go on; at rest."""
        self._rules.turn_sense()

    def wound_back(self, turns: float) -> None:
        """Of what one sensor may have counted the wrong way `turns` came off, and the rest went on.

        turns: from 0 to `doubtful`.
        """
        self._rules.wound_back(turns)

    @property
    def sense(self) -> int:
        return self._rules.position.sense

    @property
    def doubtful(self) -> float:
        """Turns that a counter with one sensor may have counted the wrong way; 0 where there are none."""
        count = self.count
        return self._rules.doubtful() if count is not None else 0.0

    @property
    def tells_direction(self) -> bool:
        return self._rules.position.watch is None

    @property
    def boot(self) -> int | None:
        """The number of the board's start, where it has one."""
        return self._rules.boot if isinstance(self._rules, HallJoiner) else None

    @property
    def edges_per_turn(self) -> int | None:
        """None before the first line."""
        return self._rules.edges_per_turn

    def edges_at(self, turns: float) -> int | None:
        """The board's own count where the coil has `turns`, for a board that can be told; None for any other."""
        return self._rules.edges_at(turns) if isinstance(self._rules, HallJoiner) else None

    def snapshot(self) -> dict[str, object] | None:
        """A JSON-able dictionary to go on from, None before the first line."""
        saved = self._rules.snapshot()
        return None if saved is None else {"schema": _SCHEMA, "form": str(self._profile.form), **saved}

    def restore(self, saved: Mapping[str, object]) -> None:
        """Go on from a snapshot: exactly if the board did not start anew meanwhile, else Broken follows.

        Raises ValueError for another form, a newer schema or damaged contents.
        """
        if saved.get("schema") != _SCHEMA or saved.get("form") != self._profile.form:
            raise ValueError(
                f"a saved count of schema {saved.get('schema')!r} and form {saved.get('form')!r}, "
                f"expected schema {_SCHEMA} and form {self._profile.form}"
            )
        self._rules.restore(saved)

"""Feeds a simulated run to a joiner and looks for counts that are wrong without saying so."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drivers.counter_profile import CounterProfile
from drivers.counting import Count, JoinerEvent
from drivers.countline import Hello, decoder_for
from drivers.joiner import CountJoiner
from drivers.profile_files import load_counter_profile

from .spindle import Run


@dataclass
class Joined:
    """What came out: all events, the counts that left the truth outside, the last count."""

    events: list[JoinerEvent]
    wrong: list[tuple[Count, float]]
    last: Count | None

    def of(self, kind: type) -> list[JoinerEvent]:
        return [each for each in self.events if isinstance(each, kind)]

    @property
    def uncertain(self) -> list[JoinerEvent]:
        return [each for each in self.events if isinstance(each, Count) and not each.certain]


def hall_profile(**changes: float) -> CounterProfile:
    return replace(load_counter_profile("hall"), **{"max_speed": 30.0, "max_acceleration": 10.0, **changes})


def plain_profile(**changes: float) -> CounterProfile:
    profile = load_counter_profile("plain")
    assert profile.plain is not None
    spindle = {"max_speed": 30.0, "max_acceleration": 10.0}
    return replace(profile, **spindle, plain=replace(profile.plain, **changes))


def join(run: Run, *, per: int, sensors: int = 2, profile: CounterProfile | None = None) -> Joined:
    profile = profile or hall_profile()
    joiner, decoder = CountJoiner(profile), decoder_for(profile)
    joiner.set_count(0.0, "start", 0.0)
    if profile.plain is None:
        joiner.feed(Hello("0.1", sensors, per // 2, 7, ""), 0.0, 0.0)
    events: list[JoinerEvent] = []
    for each in run.deliveries:
        if each.came_back:
            decoder.restart()
            joiner.link_back()
        for decoded in decoder.feed(each.data):
            events += joiner.feed(decoded, each.at, each.earliest)
    counts = [each for each in events if isinstance(each, Count)]
    truths = [run.truth[run.board.key(each.raw)] / per for each in counts]
    origin = truths[0] if truths else 0.0
    wrong = [
        (count, truth - origin)
        for count, truth in zip(counts, truths, strict=True)
        if not _holds(count, truth - origin)
    ]
    return Joined(events, wrong, joiner.count)


def _holds(count: Count, truth: float) -> bool:
    return count.low - 1e-9 <= truth <= count.high + 1e-9 and count.low <= count.turns <= count.high

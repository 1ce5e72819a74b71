"""The host of a run over a real port, as `turnproof wind` has it: counter, session and store; to be killed at will.

    python -m tests.campaigns.counting.host PORT FOLDER SPEED PROFILE

Prints what it shows, a JSON object a line; takes `set TURNS` on its standard input. Its clock runs SPEED times faster.
"""

from __future__ import annotations

import json
import pickle
import select
import sys
import time
from pathlib import Path
from typing import Any

from bench.job.winding import Role, Winding
from bench.records.entry import Kind
from bench.records.store import Store
from bench.winding.bodies import event_object
from bench.winding.progress import Progress
from bench.winding.session import WindingSession
from bench.winding.state import state_of
from drivers.counter import Counter
from drivers.errors import DriverError
from drivers.link import Link

_JOB, _WINDING = "campaign", Winding(name="coil", role=Role.SECONDARY)
_TARGET = 10_000_000


def main() -> None:
    port, folder, speed, profile_file = sys.argv[1], Path(sys.argv[2]), float(sys.argv[3]), Path(sys.argv[4])
    profile = pickle.loads(profile_file.read_bytes())
    names = folder / "ports"

    def elsewhere() -> list[str]:
        return sorted(str(each) for each in names.iterdir())

    with Store(folder / "records.sqlite") as store:
        state = state_of("coil", [(one.kind, one.body, one.at) for one in store.entries(_JOB)])
        link = Link(port, profile.line, elsewhere=elsewhere)
        counter = Counter(link, profile, clock=lambda: time.monotonic() * speed)
        while True:
            try:
                counter.open()
                break
            except DriverError:
                time.sleep(0.02)
        if state.counter is not None:
            counter.restore(state.counter)
        else:
            counter.set_count(0.0, "a new winding")

        def keep(kind: str, body: dict[str, Any]) -> None:
            store.append(_JOB, Kind(kind), body)

        view = _View(counter)
        session = WindingSession(_WINDING, _TARGET, counter, keep, (view,), state=state)
        say({"event": "listening"})
        while True:
            session.turn_over()
            ready, _, _ = select.select([sys.stdin], [], [], 0.0)
            if ready:
                line = sys.stdin.readline()
                if not line:
                    return
                session.correct(float(line.split()[1]), "counted")


class _View:
    def __init__(self, counter: Counter) -> None:
        self._counter = counter

    def progressed(self, progress: Progress) -> None:
        count = self._counter.count
        assert count is not None
        low, high = (None if abs(each) == float("inf") else each for each in (progress.low, progress.high))
        say({"raw": count.raw, "low": low, "turns": progress.turns, "high": high})

    def count_event(self, event: Any) -> None:
        say(event_object(event))


def say(what: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(what) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()

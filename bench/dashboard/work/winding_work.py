"""A winding with a counter, from the window."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge, Closed
from bench.dashboard.work.held import held
from bench.dashboard.work.orders import Orders
from bench.design.plan import plan_or_none
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.winding import Winding
from bench.sitting.counted_winding import AskedWinding, CountedWinding, counted_winding
from bench.sitting.opening import counter_use
from bench.sitting.winding_record import WindingRecord, windings_stand
from bench.winding.orders import Order
from bench.winding.sides import WindingObserver, WindingResult

__all__ = ["WindingWork"]

_TURN_S = 0.033
"""Time for one look at the counter [s], as long as a frame of the window."""


@dataclass(frozen=True)
class WindingWork:
    """counter: PROFILE@PORT, or its name in the bench file;  again: it was done and is wound once more;  start: turns
    that are on already;  rest: s at the target that end it."""

    path: Path
    job: Job
    bench: BenchFile
    winding: str
    counter: str
    again: bool = False
    start: float | None = None
    rest: float = 3.0
    doing: str = "winding"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        go = held(self.path, self.job, self.winding, again=self.again, start=self.start)
        with go as (record, wanted, turns):
            self._wind(record, wanted, turns, bridge, orders)

    def _wind(self, record: WindingRecord, wanted: Winding, turns: int, bridge: Bridge, orders: Orders) -> None:
        def observers(greeting: str) -> tuple[WindingObserver, ...]:
            bridge.instrument("counter", f"{counter_use(self.bench, self.counter)}: open")
            return (bridge,)

        def say(words: str) -> None:
            bridge.tell(told.Said(words))

        bridge.begun(self.job, self.winding)
        bridge.tell(told.InstrumentsChosen("counter", (("", counter_use(self.bench, self.counter)),)))
        asked = AskedWinding(wanted, turns, plan_or_none(self.job), self.counter, rest=self.rest, start=self.start)
        with counted_winding(record, self.bench, asked, observers, say, say) as winding:
            identity = None
            try:
                while not winding.over:
                    began = time.monotonic()
                    winding.turn_over()
                    if winding.identity != identity:
                        identity = winding.identity
                        bridge.tell(told.InstrumentSaid("counter", identity or ""))
                    _obey_all(winding, orders)
                    # Lines that come faster are taken together: the window shows one count a frame, and each that is
                    # taken is written to the disk.
                    time.sleep(max(0.0, _TURN_S - (time.monotonic() - began)))
            except Closed:
                winding.keep_left()
                raise
            winding.close_go()
            progress = winding.session.progress
            bridge.tell(told.WindingOver(winding.ended or WindingResult(progress, left=True)))
        bridge.tell(told.WindingsStand(windings_stand(record.store, self.job)))


def _obey_all(winding: CountedWinding, orders: Orders) -> None:
    order = orders.take()
    while order is not None:
        if isinstance(order, Order):
            winding.obey(order)
        order = orders.take()

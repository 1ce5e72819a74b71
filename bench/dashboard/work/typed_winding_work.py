"""A winding that is counted by hand, from the window: each layer is typed when it is full."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.held import held
from bench.dashboard.work.orders import Orders
from bench.design.plan import plan_or_none
from bench.job.model import Job
from bench.sitting.typed_winding import TypedWinding, past_words, read_typed, start_by_hand
from bench.sitting.winding_record import WindingRecord, windings_stand
from bench.winding.orders import Act, Order
from bench.winding.sides import WindingResult

__all__ = ["TypedEntry", "TypedWindingWork"]


@dataclass(frozen=True)
class TypedEntry:
    """What was typed, such as `84`, `-3` or `=412`;  sure: a dial that fell is meant so."""

    text: str
    sure: bool = False


@dataclass(frozen=True)
class TypedWindingWork:
    """again: it was done and is wound once more;  start: turns that are on already."""

    path: Path
    job: Job
    winding: str
    again: bool = False
    start: float | None = None
    doing: str = "winding"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        go = held(self.path, self.job, self.winding, again=self.again, start=self.start)
        with go as (record, wanted, turns):
            if self.start is not None:
                start_by_hand(record, self.start)
            bridge.begun(self.job, self.winding)
            winding = TypedWinding(record, wanted, turns, plan_or_none(self.job))
            for words in winding.said:
                bridge.tell(told.Said(words))
            left = not self._typed(winding, record, bridge, orders)
            # once it is finished the record begins anew
            last = winding.progress(time.monotonic())
            if not left:
                winding.finish()
            bridge.tell(told.WindingOver(WindingResult(last, left=left)))
            bridge.tell(told.WindingsStand(windings_stand(record.store, self.job)))

    def _typed(self, winding: TypedWinding, record: WindingRecord, bridge: Bridge, orders: Orders) -> bool:
        """Until the target is met; False where it was left before."""
        while True:
            bridge.tell(told.HandCount(winding.count))
            bridge.tell(told.Progressed(winding.progress(time.monotonic())))
            if winding.count.met:
                return True
            order = orders.wait()
            match order:
                case TypedEntry():
                    self._take(winding, order, bridge)
                case Order(act=Act.LEAVE):
                    return False
                case Order(act=Act.NOTE, text=text) if text:
                    record.keep("note", {"text": text})
                    bridge.tell(told.Said(f"noted: {text}"))

    def _take(self, winding: TypedWinding, entry: TypedEntry, bridge: Bridge) -> None:
        """The window has read it already; what it does not fit any more is said."""
        try:
            typed = read_typed(winding.count, entry.text)
        except ValueError as problem:
            bridge.tell(told.Said(str(problem), grave=True))
            return
        if typed.falls and not entry.sure:
            bridge.tell(told.Said(f"the dial shows less than the {winding.count.turns:g} before", grave=True))
            return
        winding.keep(typed)
        past = past_words(winding.count)
        bridge.tell(told.Said(past or winding.count.said(), grave=bool(past)))

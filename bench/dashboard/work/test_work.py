"""The acceptance test, from the window."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.operator import WindowOperator
from bench.dashboard.work.orders import Orders
from bench.design.expected import needs_for_test
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.sitting.at_the_test import NOT_KEPT, AskedTest, at_the_test
from bench.sitting.meters import meter_of
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.acceptance.answering import Operator
    from bench.acceptance.instrument import Instrument
    from bench.acceptance.procedure import Procedure
    from bench.acceptance.session import Observer
    from bench.acceptance.watching import Patience
    from bench.sitting.meters import Asked

__all__ = ["TestWork"]


@dataclass(frozen=True)
class TestWork:
    """asked: meters, procedure and what is read again."""

    __test__ = False

    path: Path
    job: Job
    bench: BenchFile
    asked: AskedTest
    patience: Patience
    doing: str = "test"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        needs = needs_for_test(self.job)
        if needs:
            raise BadInput("\n".join(f"{self.path}: {need}: missing, the test needs it" for need in needs))

        uses: dict[str, str] = {}

        def operator(meters: Asked) -> tuple[Operator, Patience]:
            uses.update({role: entry.use for role, entry in meters.by_role.items()})
            bridge.tell(told.InstrumentsChosen("meter", tuple(uses.items())))
            by_hand = meters.by_hand is not None
            who = WindowOperator(bridge, orders, keyless=not by_hand)
            return who, self.patience

        def observers(procedure: Procedure, instrument: Instrument) -> tuple[Observer, ...]:
            bridge.test_begun(procedure)
            for role, use in uses.items():
                identity = meter_of(instrument, role).identity
                bridge.tell(told.InstrumentOpened("meter", identity, role=role, address=use))
            return (bridge,)

        def say(words: str) -> None:
            bridge.tell(told.Said(words))

        with take_job_lock(self.job, "test"), open_store() as store, ExitStack() as things:
            session = at_the_test(self.job, self.path, self.bench, store, self.asked, operator, observers, say, things)
            bridge.finished(session.run())
            if not session.kept:
                bridge.tell(told.Said(NOT_KEPT))

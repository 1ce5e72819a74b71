"""The rehearsal's bench, solved once for each circuit that is fed and shared by every meter that reads it."""

from __future__ import annotations

from dataclasses import replace

from bench.rehearsal.probe import Probe
from bench.rehearsal.wiring import Connection, Quantity
from bench.rehearsal.workbench import Workbench
from tests.campaigns.decisions.population import Drawn

__all__ = ["Leads", "SharedBench", "shared_bench"]


class SharedBench(Workbench):
    """A bench on which a voltmeter takes no current: one solution then holds for all places that it is put on.

    The 10 megohm that are left out draw 54 uA from 540 V, some 1e-5 of a reading.  `leads`: where the meter truly is.
    """

    leads: Connection | None = None

    def connect(self, connection: Connection | None, links: tuple[tuple[str, str], ...], time: float) -> None:
        """As on the bench itself; only an ammeter becomes part of the circuit."""
        if connection is not None:
            self.require(connection.begin, connection.end)
        self.leads = connection
        in_circuit = connection is not None and connection.quantity is Quantity.CURRENT_AC
        super().connect(connection if in_circuit else None, links, time)

    def begin_anew(self) -> None:
        """Everything off the bench and the unit cold, for the next meter; what was solved is kept."""
        self.connect(None, (), 0.0)
        self.excite(None, 0.0)
        for winding, _ in self.wiring.loads:
            self.load(winding, None, 0.0)
        self.heat = replace(self.heat, copper=0.0, iron=0.0, at=0.0)
        self.waited, self.off_at = 0.0, None


class Leads(Probe):
    """The leads of a meter on a shared bench."""

    def __init__(self, bench: SharedBench, seed: int) -> None:
        super().__init__(bench, seed)
        self._shared = bench

    @property
    def connection(self) -> Connection | None:
        """Where the leads truly are."""
        return self._shared.leads


def shared_bench(unit: Drawn) -> SharedBench:
    """The bench with this unit on it."""
    return SharedBench(unit.job, unit.variation, unit.faults)

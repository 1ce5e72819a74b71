"""How the bench stands by what was asked for in this sitting: leads, volts and loads; how to bring it there again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from bench.acceptance.leads import Leads
from bench.acceptance.requests import Confirm, Connect, Excite, Load, OperatorRequest, Take

__all__ = ["Standing"]


@dataclass
class Standing:
    """What somebody has confirmed, or may have done, since this program asks."""

    connected: Connect | None = None
    beside: Connect | None = None
    excited: Excite | None = None
    loads: dict[str, Load] = field(default_factory=dict)

    @property
    def live(self) -> bool:
        """Whether volts are on, or may be."""
        return self.excited is not None and self.excited.volts > 0

    def asked(self, request: OperatorRequest | Take) -> None:
        """It is put to the operator: from here on it may be so, whatever is answered.

        What makes safe is so only once it is `done`.
        """
        match request:
            case Connect():
                self.connected = request
            case Excite(volts=volts) if volts > 0:
                self.excited = request
            case Load(ohms=float()):
                self.loads[request.winding] = request

    def done(self, request: OperatorRequest | Take) -> None:
        """The operator said that it is done."""
        match request:
            case Excite(volts=0.0):
                self.excited = None
            case Load(ohms=None):
                self.loads.pop(request.winding, None)

    def to_bring(self, believed: Leads, request: OperatorRequest | Take) -> Iterator[OperatorRequest]:
        """What to ask for before a request, so that the bench stands as the procedure takes it to.

        The leads before the volts; nothing for a request that brings the volts to zero, or that moves the leads first.
        """
        if isinstance(request, (Connect, Load)) or (isinstance(request, Excite) and request.volts == 0):
            return
        if isinstance(request, Confirm) and not _fed(believed):
            return
        if isinstance(request, (Take, Excite)) or _fed(believed):
            yield from self._leads(believed)
        for load in believed.loads.values():
            if self.loads.get(load.winding) != load:
                yield load
        if isinstance(request, Excite):
            return
        wanted = believed.excited
        if wanted is not None and wanted.volts > 0 and wanted != self.excited:
            yield wanted

    def _leads(self, believed: Leads) -> Iterator[Connect]:
        """Those of the meter, and of another that lies beside it."""
        if believed.beside is not None and believed.beside not in (self.beside, self.connected):
            yield believed.beside
        self.beside = believed.beside
        if believed.connected is not None and believed.connected != self.connected:
            yield believed.connected


def _fed(believed: Leads) -> bool:
    return believed.excited is not None and believed.excited.volts > 0

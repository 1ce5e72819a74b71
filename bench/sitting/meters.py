"""`--meter`, once for one meter that does all, or once for each role: volts=..., amps=..., ohms=..."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.acceptance.instrument import HandInstrument, Instrument, MeterInstrument
from bench.acceptance.meters_by_role import ROLES, MetersByRole
from bench.acceptance.watching import Patience
from bench.sitting.opening import HAND, hand_accuracies, meter_entry, open_meter, response_of
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.acceptance.instrument import AskValue
    from bench.job.bench_file import BenchFile, MeterEntry

__all__ = ["Asked", "asked_meters", "meter_of", "open_instrument"]


@dataclass(frozen=True)
class Asked:
    """The meters of the command line, by role; "" for the one that does the rest."""

    by_role: dict[str, MeterEntry]

    @property
    def by_hand(self) -> MeterEntry | None:
        """The one meter that a person reads, None where meters on lines are asked for."""
        only = list(self.by_role.values())
        return only[0] if len(only) == 1 and only[0].use == HAND else None


def asked_meters(bench: BenchFile, texts: tuple[str, ...]) -> Asked:
    """The entries that `texts` name, each as METER or ROLE=METER; raises BadInput."""
    found: dict[str, MeterEntry] = {}
    for text in texts:
        role, equals, name = text.partition("=")
        if not equals or role not in ROLES:
            if equals and "@" not in role and text not in {entry.name for entry in bench.meter}:
                raise BadInput(f"--meter {text!r}: {role!r} is no role, expected one of {', '.join(ROLES)}")
            role, name = "", text
        if role in found:
            raise BadInput(f"--meter {text!r}: a second meter {f'for {role}' if role else 'without a role'}")
        found[role] = meter_entry(bench, name)
    uses = [entry.use for entry in found.values()]
    if len(uses) > 1 and HAND in uses:
        raise BadInput("--meter: a meter read by hand goes with no other, expected it alone")
    for use in uses:
        if uses.count(use) > 1:
            raise BadInput(f"--meter: {use} is named twice, expected a port each")
    return Asked(found)


def open_instrument(
    asked: Asked, open_things: ExitStack, ask: AskValue, patience: Patience, wire_log: Path | None, hertz: float | None
) -> Instrument:
    """The meters, open: as one instrument.  ask: puts a typed reading to the operator;  hertz: of the supply.

    With several meters each keeps its own wire log, with the role before the ending.  Raises BadInput or
    InstrumentTrouble.
    """
    hand = asked.by_hand
    if hand is not None:
        return HandInstrument(
            ask,
            hand_accuracies(hand),
            lead_resistance=hand.lead_resistance or 0.0,
            test_current=hand.test_current,
            name=hand.name,
            response=response_of(hand),
        )
    meters = {}
    for role, entry in asked.by_role.items():
        log = wire_log
        if wire_log is not None and role:
            log = wire_log.with_name(f"{wire_log.stem}-{role}{wire_log.suffix}")
        opened = open_things.enter_context(open_meter(entry, wire_log=log, hertz=hertz))
        meters[role] = MeterInstrument(opened, patience)
    if list(meters) == [""]:
        return meters[""]
    try:
        return MetersByRole(meters)
    except ValueError as problem:
        raise BadInput(f"--meter: {problem}") from None


def meter_of(instrument: Instrument, role: str) -> Instrument:
    """The meter of a role out of several, or the one that there is."""
    return instrument.by_role[role] if isinstance(instrument, MetersByRole) else instrument

"""The hand at the bench: it connects, feeds, loads and reads off what it is asked to, with its own mistakes."""

from __future__ import annotations

from bench.job.model import Job
from bench.quantities import Dimension, QuantityError, parse
from bench.rehearsal.faults import Fault
from bench.rehearsal.handheld import read_handheld
from bench.rehearsal.mistakes import Mistakes
from bench.rehearsal.probe import Probe
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.supply import Source
from bench.rehearsal.testers import Testers, load_scale
from bench.rehearsal.wiring import Connection, Excitation, Quantity
from bench.rehearsal.workbench import Workbench

__all__ = ["Ask", "Hand", "seconds_of"]

_LONGEST_WAIT = 86400.0

Ask = dict[str, object]
"""One asked thing, as it came; keys that mean nothing here are passed over."""


class Hand:
    """Does what the operator protocol asks of a person; every method is given the bench time [s]."""

    def __init__(self, job: Job, bench: Workbench, probe: Probe, faults: tuple[Fault, ...], seed: int) -> None:
        self._job, self._bench, self._probe, self._seed = job, bench, probe, seed
        self._testers = Testers(job, bench, seed)
        self._mistakes = Mistakes.from_faults(job, faults, seed)
        self._asked: Connection | None = None

    def connect(self, ask: Ask, now: float) -> None:
        """Put the meter's leads on two terminals, and the links that are asked for, no others."""
        asked, links = _connection(ask), _links(ask)
        self._bench.require(asked.begin, asked.end)
        self._asked = asked
        self._place(links, now)

    def excite(self, ask: Ask, now: float) -> None:
        """Turn the dial; zero volts takes the feed off."""
        volts = _quantity(ask, "volts", Dimension.VOLTAGE)
        if volts == 0:
            self._bench.excite(None, now)
        else:
            source = _source(ask)
            if not 0 < volts <= source.most:
                raise RehearsalProblem(f"volts: {volts:g} V from the {source} source, expected 0 to {source.most:g} V")
            series = ask.get("series")
            ohms = None if series is None else _quantity(ask, "series", Dimension.RESISTANCE)
            if ohms is not None and ohms <= 0:
                raise RehearsalProblem("series: expected more than 0 ohm, or null")
            limiter = ask.get("limiter", False)
            if not isinstance(limiter, bool):
                raise RehearsalProblem("limiter: expected true or false")
            self._bench.excite(Excitation(_text(ask, "from"), _text(ask, "to"), volts, source, limiter, ohms), now)
        # With volts from another source the hand may hold the leads elsewhere.
        self._place(self._bench.wiring.links, now)

    def load(self, ask: Ask, now: float) -> None:
        """Hang a load on a winding, or take it off."""
        ohms = None if ask.get("ohms") is None else _quantity(ask, "ohms", Dimension.RESISTANCE)
        if ohms is not None and ohms <= 0:
            raise RehearsalProblem("ohms: expected more than 0 ohm, or null")
        winding = _text(ask, "winding")
        true = None if ohms is None else ohms * load_scale(self._seed, winding)
        self._bench.load(winding, true, now)

    def wait(self, ask: Ask, now: float) -> None:
        """Let time pass in one go."""
        self._bench.wait(seconds_of(ask), now)

    def enter(self, ask: Ask, now: float) -> str:
        """Read something off elsewhere and say it, as a person types it."""
        quantity = ask.get("quantity")
        if isinstance(quantity, str) and quantity in self._testers.quantities:
            return self._testers.read(quantity, ask, now)
        if quantity not in list(Quantity):
            known = ", ".join([*self._testers.quantities, *Quantity])
            raise RehearsalProblem(f"quantity: {quantity!r} can't be entered here, expected one of {known}")
        if "from" in ask or "to" in ask:
            asked = _connection(ask)
            self._bench.require(asked.begin, asked.end)
            self._asked = asked
        elif self._asked is None or self._asked.quantity != quantity:
            raise RehearsalProblem("from: missing, expected a terminal such as 'primary.start'")
        asked = self._asked
        links = _links(ask) if "links" in ask else self._bench.wiring.links
        self._bench.connect(asked, links, now)
        return read_handheld(self._probe, asked.quantity, self._seed, now, self._mistakes.slip(asked))

    def _place(self, links: tuple[tuple[str, str], ...], now: float) -> None:
        if self._asked is None:
            self._bench.connect(None, links, now)
            return
        true = self._mistakes.true_connection(self._asked, self._bench.wiring.excitation)
        # An equal connection is the same clips: the ones that bite already stay where they are.
        current = self._bench.wiring.connection
        self._bench.connect(current if current == true else true, links, now)


def seconds_of(ask: Ask) -> float:
    """How long a wait is [s]; raises RehearsalProblem."""
    value = ask.get("seconds")
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= _LONGEST_WAIT:
        raise RehearsalProblem(f"seconds: {value!r}, expected a number from 0 to {_LONGEST_WAIT:g}")
    return float(value)


def _text(ask: Ask, key: str) -> str:
    value = ask.get(key)
    if not isinstance(value, str):
        raise RehearsalProblem(f"{key}: {'missing' if value is None else repr(value)}, expected text")
    return value


def _quantity(ask: Ask, key: str, dimension: Dimension) -> float:
    try:
        return parse(_text(ask, key), dimension)
    except QuantityError as error:
        raise RehearsalProblem(f"{key}: {error}") from None


def _source(ask: Ask) -> Source:
    value = ask.get("source", Source.VARIAC)
    try:
        return Source(str(value))
    except ValueError:
        raise RehearsalProblem(f"source: {value!r}, expected one of {', '.join(Source)}") from None


def _connection(ask: Ask) -> Connection:
    quantity = ask.get("quantity")
    if quantity not in list(Quantity):
        raise RehearsalProblem(f"quantity: {quantity!r}, expected one of {', '.join(Quantity)}")
    return Connection(Quantity(str(quantity)), _text(ask, "from"), _text(ask, "to"))


def _links(ask: Ask) -> tuple[tuple[str, str], ...]:
    value = ask.get("links") or []
    if not isinstance(value, list):
        raise RehearsalProblem("links: expected a list of pairs of terminals")
    for pair in value:
        if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(end, str) for end in pair):
            raise RehearsalProblem(f"links: {pair!r}, expected a pair of terminals")
    return tuple((pair[0], pair[1]) for pair in value)

"""A whole test with a hand-held meter: the leads are on before anything is fed."""

from __future__ import annotations

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.instrument import HandInstrument
from bench.acceptance.requests import Connect, Enter, Excite, OperatorRequest, Take
from bench.acceptance.session import TestSession, ask_for_value
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import IdealBench, new_procedure


class Hand:
    """Types what an ideal bench would show, and remembers what it was asked in which order."""

    def __init__(self, bench: IdealBench) -> None:
        self.bench = bench
        self.asked: list[OperatorRequest] = []

    def ask(self, request: OperatorRequest) -> Reply:
        self.asked.append(request)
        if isinstance(request, Enter) and request.reading_of is not None:
            self.bench.connected = request.reading_of
            reading = self.bench.answer(Take(request.step, request.quantity, None))
            return Reply(ReplyKind.VALUE, f"{reading.value:.6f} {reading.unit}")
        answer = self.bench.answer(request)
        return Reply(ReplyKind.DONE if answer is None else ReplyKind.VALUE, "" if answer is None else answer)


def test_no_lead_is_moved_for_a_typed_reading_while_something_is_fed() -> None:
    quantities = frozenset({Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE, Quantity.FREQUENCY})
    procedure = new_procedure(quantities=quantities)
    hand = Hand(IdealBench(procedure.context.expectation))
    instrument = HandInstrument(
        lambda ask: ask_for_value(hand, ask), dict.fromkeys(quantities, Accuracy(0.1, counts=1)), name="hand"
    )
    TestSession(procedure, hand, instrument, lambda kind, body: None).run()
    fed = [r for r in hand.asked if isinstance(r, Enter) and r.reading_of and r.quantity is not Quantity.RESISTANCE]
    assert len(fed) > 30
    assert _unannounced(hand.asked) == []


def _unannounced(asked: list[OperatorRequest]) -> list[str]:
    """Steps whose reading is typed with the leads somewhere else than they were last asked to be put."""
    wrong, placed = [], None
    for request in asked:
        match request:
            case Connect():
                placed = request
            case Enter(reading_of=Connect() as place) if place.quantity is not Quantity.RESISTANCE and place != placed:
                wrong.append(request.step)
            case Excite() if placed is None:
                wrong.append(request.step)
    return wrong

"""What the bench file says of a meter, as the accuracies that are reckoned with."""

from __future__ import annotations

from bench.job.bench_file import AccuracyText, MeterEntry
from drivers.accuracy import Accuracy
from drivers.calibration import CalibratedAccuracy
from drivers.meter_profile import Response
from drivers.reading import Quantity

__all__ = ["HAND", "calibrated_accuracies", "hand_accuracies", "response_of"]

HAND = "hand"
"""Of an instrument that a person reads."""


def hand_accuracies(entry: MeterEntry) -> dict[Quantity, Accuracy]:
    """What the bench file says of a hand-held meter."""
    said = entry.accuracy
    reads = {
        Quantity.VOLTAGE_AC: _accuracy(said.voltage_ac),
        Quantity.CURRENT_AC: _accuracy(said.current_ac),
        Quantity.RESISTANCE: _accuracy(said.resistance),
        Quantity.FREQUENCY: _accuracy(said.frequency),
    }
    return {quantity: one for quantity, one in reads.items() if str(quantity) not in entry.lacks}


def calibrated_accuracies(entry: MeterEntry) -> tuple[CalibratedAccuracy, ...]:
    """What the bench file says of a meter on a line, from its certificate."""
    return tuple(
        CalibratedAccuracy(
            Quantity(one.quantity),
            Accuracy(100 * one.accuracy.of_reading, 100 * one.accuracy.of_range, one.accuracy.counts),
            one.full_scale,
            one.from_frequency,
            one.to_frequency,
        )
        for one in entry.calibration
    )


def response_of(entry: MeterEntry) -> Response:
    """What the bench file says that a hand-held meter responds to."""
    return Response.NONE if entry.response is None else Response(entry.response)


def _accuracy(text: AccuracyText) -> Accuracy:
    return Accuracy(percent_of_reading=100 * text.of_reading, counts=text.counts)

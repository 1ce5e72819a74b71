"""The two parts of a core's loss, told apart by measuring at two frequencies."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SeparatedLoss", "separate_losses"]


@dataclass(frozen=True)
class SeparatedLoss:
    """Hysteresis loss goes with f, eddy current loss with f squared, both at one and the same flux density.

    hysteresis [J]: loss of one cycle; eddy [W s2]: loss over frequency squared.
    """

    hysteresis: float
    eddy: float

    def at(self, frequency: float) -> tuple[float, float]:
        """Hysteresis and eddy current loss [W] at `frequency` [Hz] > 0. Raises ValueError."""
        if not frequency > 0:
            raise ValueError(f"frequency is {frequency:g} Hz, expected more than 0")
        return self.hysteresis * frequency, self.eddy * frequency**2


def separate_losses(
    first_loss: float, first_frequency: float, second_loss: float, second_frequency: float
) -> SeparatedLoss:
    """Two parts from two losses [W] of one core at two frequencies [Hz], with volts in proportion to the frequency.

    P = a f + b f^2; excess loss, which goes with f^1.5, falls partly to either. Works as well on W/kg.
    Raises ValueError where the frequencies are the same, or a part would come out negative: then the two losses were
    not measured at the same flux density.
    Source: D.C. Kulshreshtha, Basic Electrical Engineering, Ex 13.8 p382; any textbook.
    """
    for loss in (first_loss, second_loss):
        if not loss > 0:
            raise ValueError(f"loss is {loss:g} W, expected more than 0")
    if not (first_frequency > 0 and second_frequency > 0 and first_frequency != second_frequency):
        raise ValueError(f"{first_frequency:g} and {second_frequency:g} Hz, expected two different frequencies above 0")
    first, second = first_loss / first_frequency, second_loss / second_frequency
    eddy = (second - first) / (second_frequency - first_frequency)
    hysteresis = first - eddy * first_frequency
    if eddy < 0 or hysteresis < 0:
        raise ValueError(
            f"{first_loss:g} W at {first_frequency:g} Hz and {second_loss:g} W at {second_frequency:g} Hz are not of "
            "one flux density: volts must go with the frequency"
        )
    return SeparatedLoss(hysteresis, eddy)

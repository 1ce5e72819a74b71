"""What the flux density is, what the new frequency does to it and to which windings, and whether the steel bears it."""

from __future__ import annotations

from bench.survey.bearing import LITTLE, TOO_MUCH, Bearing
from bench.survey.interval import Interval
from bench.survey.values import Survey

__all__ = ["flux_lines"]


def flux_lines(survey: Survey) -> list[str]:
    """Calmly: a figure, what moves it, and what the steel says."""
    flux, job = survey.flux, survey.job
    if flux is None:
        return []
    made, supply = job.made_for or job.supply, job.supply
    assert made is not None
    old = flux.as_made
    tolerance = f"{(old.highest.value / old.nominal.value - 1) * 100:.0f} %"
    lines = [
        f"On the supply it was made for, {made.voltage:g} V and {made.frequency:g} Hz, it ran at "
        f"{_tesla(old.nominal)} peak, "
        f"{old.highest.value:.2f} T with {tolerance} more volts.",
        "Fewer turns per volt raise the flux in proportion, more lower it: one per cent for one per cent.",
    ]
    if flux.kept is None or supply is None or abs(flux.frequency_factor - 1) < 0.005:
        if supply is not None:
            lines.append(
                f"The frequency stays: with the same turns per volt the flux stays, at {supply.voltage:g} V too."
            )
            lines.extend(_by_curve(survey))
            lines.extend(_verdict(survey))
        return lines
    names = (made.frequency, job.made_for.or_frequency if job.made_for is not None else None)
    if any(one is not None and abs(one / supply.frequency - 1) < 0.01 for one in names):
        lines.append(f"Its plate names {supply.frequency:g} Hz too: it was made for this frequency as well.")
    same = flux.turns_per_volt_for_same_flux
    kept, factor = flux.kept, flux.frequency_factor
    way = "raises" if factor > 1 else "lowers"
    lines.append(
        f"{supply.frequency:g} Hz {way} it x {factor:.3g} at the same turns per volt, whatever the volts: "
        f"{_tesla(kept.nominal)} "
        f"nominal, {kept.highest.value:.2f} T with {tolerance} more."
    )
    if same is not None:
        more = "more" if factor > 1 else "fewer"
        lines.append(
            f"To keep {old.nominal.value:.2f} T every winding, the secondaries too, takes x {factor:.3g} the turns "
            f"for each of "
            f"its volts: {same.value:.3f} turns per volt. All windings share one flux. If the secondaries stay as "
            f"they are, "
            f"their volts fix it: {more} turns on the primary alone would lower the flux only together with every "
            "secondary's volts."
            if factor > 1
            else f"To keep {old.nominal.value:.2f} T every winding, the secondaries too, would take x {factor:.3g} "
            f"the turns for "
            f"each of its volts: {same.value:.3f} turns per volt. It need not: less flux hurts nothing."
        )
    lines.extend(_by_curve(survey))
    lines.extend(_verdict(survey))
    return lines


def _by_curve(survey: Survey) -> list[str]:
    """A curve that was taken at the new frequency answers by itself, whatever the core's area and steel are."""
    curve = survey.curve
    if curve is None or curve.new_volts is None:
        return []
    if curve.new_amps is None:
        return [
            f"The curve as found ends below {curve.new_volts:.0f} V at {curve.frequency:g} Hz, where it would tell "
            f"more."
        ]
    how = "was taken at this frequency and answers by itself" if curve.at_new_frequency else "tells it too"
    line = (
        f"The curve as found {how}: {_milliamps(curve.new_amps)} at {curve.new_volts:.0f} V and {curve.frequency:g} Hz"
    )
    if curve.growth is None:
        return [f"{line}; it ends before 10 % more."]
    return [f"{line}, and 10 % more volts take {curve.growth:.2g} times that."]


def _verdict(survey: Survey) -> list[str]:
    return [_bears(one) for one in survey.bearings]


def _bears(one: Bearing) -> str:
    """By how the exciting current grows from nominal to the upper limit: up to 1.5, up to 2, beyond."""
    settle = " A curve at the new frequency, up to 10 % over, would settle it." if one.can_be_read else ""
    if one.measured:
        grown = f"{one.growth.value:.2g} times the current"
    else:
        low, high = one.growth.value / one.factor, one.growth.value * one.factor
        grown = f"{low:.2g} to {high:.2g} times the current by the published curves of {one.steel}"
    asks = f"at the upper limit of the supply, {one.highest:.2f} T, it takes {grown}"
    if one.growth.value * (1.0 if one.measured else one.factor) < LITTLE:
        return f"{one.core} bears it: {asks}."
    if one.growth.value < TOO_MUCH:
        return f"{one.core} bears it, with little to spare: {asks}.{settle}"
    if not one.measured and one.growth.value / one.factor < TOO_MUCH:
        return f"{one.core} may not bear it: {asks}.{settle} More turns per volt in every winding are the cure."
    return (
        f"{one.core} does not bear it: {asks}; it will hum and run hot. More turns per volt in every winding are the "
        f"cure."
    )


def _milliamps(amps: float) -> str:
    return f"{amps * 1e3:.3g} mA" if amps < 1 else f"{amps:.3g} A"


def _tesla(flux: Interval) -> str:
    return f"{flux.value:.2f} ± {flux.expanded:.2f} T"

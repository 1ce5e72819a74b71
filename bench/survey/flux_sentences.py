"""What the flux density is, what the new frequency does to it and to which windings, and whether the steel bears it."""

from __future__ import annotations

from bench.survey.bearing import LITTLE, NO_SHEET, TOO_MUCH, WELL_SATURATED, Bearing
from bench.survey.flux import Flux, FluxAt
from bench.survey.interval import Interval
from bench.survey.values import Survey

__all__ = ["flux_lines"]

_SAME_FREQUENCY = 0.005


def flux_lines(survey: Survey) -> list[str]:
    """Calmly: a figure, what moves it, and what the steel says."""
    flux = survey.flux
    if flux is None:
        return []
    lines = _on_the_old_supply(survey, flux)
    top = max((at for at in (flux.as_made, flux.kept) if at is not None), key=lambda at: at.nominal.value)
    if top.nominal.low > NO_SHEET:
        return [
            *lines,
            f"No sheet carries {top.nominal.value:.1f} T: turns, volts or the core's size can't be right. Look at the "
            "counts, at core.tongue and core.stack.",
        ]
    if flux.kept is None:
        return lines
    if flux.as_made is None:
        return [*lines, *_unknown_frequency(survey, flux.kept), *_by_curve(survey), *_verdict(survey)]
    if abs(flux.frequency_factor - 1) < _SAME_FREQUENCY:
        volts = "" if survey.job.supply is None else f", at {survey.job.supply.voltage:g} V too"
        same = f"The frequency stays: with the same turns per volt the flux stays{volts}."
        return [*lines, same, *_by_curve(survey), *_verdict(survey)]
    made = survey.job.made_for
    also = None if made is None else made.or_frequency
    if also is not None and abs(also / flux.kept.frequency - 1) < _SAME_FREQUENCY:
        named = (
            f"Its plate names {flux.kept.frequency:g} Hz too: it was made for this frequency as well, at "
            f"{_tesla(flux.kept.nominal)}, and the frequency asks for nothing."
        )
        return [*lines, named, *_by_curve(survey), *(_verdict(survey) if _measured(survey) else [])]
    return [*lines, *_new_frequency(flux, flux.as_made, flux.kept), *_by_curve(survey), *_verdict(survey)]


def _on_the_old_supply(survey: Survey, flux: Flux) -> list[str]:
    made, old = survey.job.made_for, flux.as_made
    if made is None or old is None:
        return []
    return [
        f"On the supply it was made for, {made.voltage:g} V and {made.frequency:g} Hz, it ran at {_tesla(old.nominal)} "
        f"peak, {old.highest.value:.2f} T with {_tolerance(old)} more volts.",
        "Fewer turns per volt raise the flux in proportion, more lower it: one per cent for one per cent.",
    ]


def _unknown_frequency(survey: Survey, kept: FluxAt) -> list[str]:
    return [
        f"With the same turns per volt it runs at {_tesla(kept.nominal)} peak at {kept.frequency:g} Hz, "
        f"{kept.highest.value:.2f} T with {_tolerance(kept)} more volts. Nobody said what it was made for "
        "([made_for] in the job): if that was 60 Hz, it ran at "
        f"{kept.nominal.value * kept.frequency / 60:.2f} T there."
    ]


def _new_frequency(flux: Flux, old: FluxAt, kept: FluxAt) -> list[str]:
    factor = flux.frequency_factor
    lines = [
        f"{kept.frequency:g} Hz {'raises' if factor > 1 else 'lowers'} it x {factor:.3g} at the same turns per volt, "
        f"whatever the volts: {_tesla(kept.nominal)} nominal, {kept.highest.value:.2f} T with {_tolerance(kept)} more."
    ]
    same = flux.turns_per_volt_for_same_flux
    if same is None:
        return lines
    every = (
        f"To keep {old.nominal.value:.2f} T every winding, the secondaries too, takes x {factor:.3g} the turns for "
        f"each of "
        f"its volts: {same.value:.3f} turns per volt."
    )
    if factor > 1:
        lines.append(
            f"{every} All windings share one flux. If the secondaries stay as they are, their volts fix it: more "
            f"turns on "
            "the primary alone would lower the flux only together with every secondary's volts."
        )
    else:
        lines.append(f"{every} It need not: less flux hurts nothing.")
    return lines


def _measured(survey: Survey) -> bool:
    return any(one.measured for one in survey.bearings)


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
    tolerance = 0.10 if survey.job.supply is None else survey.job.supply.tolerance
    if curve.growth is None:
        return [f"{line}; it ends before {tolerance * 100:.0f} % more."]
    return [f"{line}, and {tolerance * 100:.0f} % more volts take {curve.growth:.2g} times that."]


def _verdict(survey: Survey) -> list[str]:
    """Nothing is said of a core that took more watts than any sheet: its curve is that of a fault."""
    faulty = survey.curve is not None and survey.curve.excess_watts is not None
    return [_bears(one) for one in survey.bearings if not (faulty and one.stands)]


def _bears(one: Bearing) -> str:
    """By how the exciting current grows from nominal to the upper limit: up to 1.5, up to 2, beyond.  The better of two
    words is used only where 95 % of what is possible lies there."""
    low, high = one.growth.value / one.factor, one.growth.value * one.factor
    cure = "More turns per volt in every winding are the cure."
    if one.nominal > WELL_SATURATED:
        return f"{one.core} does not bear it: {one.nominal:.2f} T is deep in saturation for any sheet. {cure}"
    if one.measured:
        grown = f"{one.growth.value:.2g} times the current"
    else:
        grown = f"{low:.2g} to {high:.2g} times the current by the published curves of {one.steel}"
    asks = f"at the upper limit of the supply, {one.highest:.2f} T, it takes {grown}"
    settle = " A curve at the new frequency, up to the upper limit, would settle it." if one.can_be_read else ""
    if high < LITTLE:
        return f"{one.core} bears it: {asks}."
    if high < TOO_MUCH:
        return f"{one.core} bears it, with little to spare: {asks}."
    if low < TOO_MUCH:
        return f"{one.core} may or may not bear it: {asks}.{settle} {cure}"
    return f"{one.core} does not bear it: {asks}; it will hum and run hot. {cure}"


def _tolerance(at: FluxAt) -> str:
    return f"{(at.highest.value / at.nominal.value - 1) * 100:.0f} %"


def _milliamps(amps: float) -> str:
    return f"{amps * 1e3:.3g} mA" if amps < 1 else f"{amps:.3g} A"


def _tesla(flux: Interval) -> str:
    return f"{flux.value:.2f} ± {flux.expanded:.2f} T"

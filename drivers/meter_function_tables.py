"""The `[functions]` part of a meter's profile."""

from __future__ import annotations

from drivers.accuracy import Accuracy
from drivers.meter_function import Band, Check, MeterFunction, MeterRange, Response, Taking, at_mains
from drivers.reading import Quantity
from drivers.strict_table import StrictTable

__all__ = ["functions_from"]


def functions_from(tables: StrictTable) -> dict[Quantity, MeterFunction]:
    """The functions that the profile has; those that it lacks are refused before anything is sent."""
    found: dict[Quantity, MeterFunction] = {}
    for quantity in Quantity:
        if tables.has(quantity):
            found[quantity] = _function_from(quantity, tables.table(quantity))
    return found


def _function_from(quantity: Quantity, table: StrictTable) -> MeterFunction:
    bands = _bands_from(table)
    ranges = tuple(_range_from(quantity, each, bands) for each in table.tables("ranges"))
    scales = [each.full_scale for each in ranges]
    if scales != sorted(set(scales)):
        table.report("ranges", "expected in rising order of full scale, each once")
    taking = table.choice("taking", Taking, Taking.TRIGGERED)
    units = table.table("units")
    function = MeterFunction(
        quantity=quantity,
        select=table.one_or_more_texts("select"),
        read=table.text("read"),
        ranges=ranges,
        verify=_checks_from(table),
        filters=table.one_or_more_texts("filter", ()),
        arm=table.text("arm") if table.has("arm") else None,
        settle_s=table.number("settle_s", 0.0, most=60.0),
        discard=table.integer("discard", 1, most=20),
        response_s=table.number("response_s", least=0.01, most=120.0) if table.has("response_s") else None,
        taking=taking,
        refresh_s=table.number("refresh_s", least=0.01, most=60.0) if taking is Taking.DISPLAYED else 0.0,
        units={key: units.number(key, least=1e-12) for key in units.keys()},  # noqa: SIM118  (not a dict)
        response=table.choice("response", Response, Response.NONE),
        crest_factor_max=table.number("crest_factor_max", least=1.0) if table.has("crest_factor_max") else None,
        crest_factor_full_scale=(
            table.number("crest_factor_full_scale", least=1.0) if table.has("crest_factor_full_scale") else None
        ),
        lead_resistance=table.number("lead_resistance_ohm", 0.0) if quantity is Quantity.RESISTANCE else 0.0,
    )
    _check_sense(function, table)
    table.finish()
    return function


def _check_sense(function: MeterFunction, table: StrictTable) -> None:
    limit, at_full_scale = function.crest_factor_max, function.crest_factor_full_scale
    if at_full_scale is not None and (limit is None or at_full_scale > limit):
        table.report("crest_factor_full_scale", f"{at_full_scale:g}, expected no more than crest_factor_max")
    for unit in function.units:
        if not unit.isascii() or unit != unit.strip() or not unit or unit[-1].isdigit():
            table.report("units", f"{unit!r}, expected ASCII text without blanks around it that ends in no digit")
    names = [each.word for each in function.ranges if each.word is not None]
    if names and function.ranges_itself:
        table.report("ranges", "a word, but no message has a {range} to put it in")
    if len(set(names)) != len(names):
        table.report("ranges", "two ranges have the same word")


def _checks_from(table: StrictTable) -> tuple[Check, ...]:
    if not table.has("verify"):
        return ()
    queries, patterns = table.one_or_more_texts("verify"), table.one_or_more_patterns("verified")
    if len(queries) != len(patterns):
        table.report("verified", f"{len(patterns)} patterns, expected one for each of {len(queries)} queries")
    return tuple(Check(query, pattern) for query, pattern in zip(queries, patterns, strict=False))


def _range_from(quantity: Quantity, table: StrictTable, of_all: tuple[Band, ...]) -> MeterRange:
    """of_all: the bands of the function, for a range that states no accuracy of its own."""
    unit = quantity.unit
    bands = _bands_from(table)
    if not bands and not table.has("percent_of_reading"):
        bands = of_all
    accuracy = at_mains(bands) if bands else _accuracy_from(table)
    if accuracy is None:
        table.report("bands", "expected one that holds 50 Hz to 60 Hz")
        accuracy = Accuracy(0.0)
    found = MeterRange(
        full_scale=table.number(f"full_scale_{unit}"),
        resolution=table.number(f"resolution_{unit}"),
        noise=table.number(f"noise_{unit}"),
        accuracy=accuracy,
        bands=bands,
        word=table.text("word") if table.has("word") else None,
        shown=table.text("shown") if table.has("shown") else None,
        test_current=_test_current(quantity, table),
    )
    table.finish()
    return found


def _test_current(quantity: Quantity, table: StrictTable) -> float | None:
    ohms = quantity in (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)
    return table.number("test_current_A", most=100.0) if ohms and table.has("test_current_A") else None


def _bands_from(table: StrictTable) -> tuple[Band, ...]:
    return tuple(_band_from(each) for each in table.tables("bands")) if table.has("bands") else ()


def _band_from(table: StrictTable) -> Band:
    band = Band(table.number("from_Hz"), table.number("to_Hz"), _accuracy_from(table))
    if band.to_hz <= band.from_hz:
        table.report("to_Hz", f"{band.to_hz:g}, expected more than from_Hz")
    table.finish()
    return band


def _accuracy_from(table: StrictTable) -> Accuracy:
    return Accuracy(
        percent_of_reading=table.number("percent_of_reading", most=100.0),
        percent_of_range=table.number("percent_of_range", 0.0, most=100.0),
        counts=table.number("counts", 0.0),
    )

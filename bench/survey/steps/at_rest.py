"""Before anything is fed: cautions, temperature, and the insulation without which nothing will be."""

from __future__ import annotations

from bench.acceptance.cautions import Hazard
from bench.acceptance.entering import entered
from bench.acceptance.leads import Steps
from bench.acceptance.requests import Confirm, Enter, Skipped
from bench.quantities import Dimension, show
from bench.survey.reading_context import ReadingContext
from drivers.reading import Quantity

MAINS = False
FEEDS = False
CAUTIONED = True
WHAT = "insulation"

# Temperatures [K] of a winding at rest on a bench, -20 to 60 degC: outside, degrees Fahrenheit or a slip were typed.
_AT_REST = (253.15, 333.15)


def run(context: ReadingContext) -> Steps:
    yield Confirm(
        "found:start",
        "Unit out of its equipment, unplugged, discharged, nothing connected to any winding.",
        context.cautions.of(Hazard.LOCAL_CODES),
    )
    yield from _temperature(context)
    for winding in context.own:
        try:
            yield from _insulation(context, winding.name)
        except Skipped as reason:
            context.skip(f"insulation of {winding.name}", reason)
    for winding in context.own:
        read = context.insulation.get(winding.name)
        refuse = float(context.rules["insulation"]["refuse_ohm"])
        if read is None:
            context.gates.append(f"insulation of {winding.name} was not read")
        elif read < refuse:
            context.gates.append(
                f"insulation of {winding.name} is {show(read, 'ohm', 3)}, below {refuse / 1e6:g} Mohm: dry it and read "
                "it again"
            )


def _temperature(context: ReadingContext) -> Steps:
    ask = Enter(
        "found:temperature",
        Quantity.TEMPERATURE,
        "Temperature of the copper (left in the room for hours: the room's).",
        "degC",
    )
    try:
        typed, _ = yield from entered(ask, Dimension.TEMPERATURE, *_AT_REST)
    except Skipped as reason:
        context.skip("temperature", reason)
        return
    context.temperature = f"{typed.value - 273.15:.1f} degC"


def _insulation(context: ReadingContext, winding: str) -> Steps:
    known = context.insulation.get(winding)
    before = "" if known is None else f" It was {show(known, 'ohm', 3)}; to skip keeps that."
    ask = Enter(
        f"found:insulation:{winding}",
        Quantity.INSULATION_RESISTANCE,
        f"Insulation tester, {context.tester:g} V dc, one minute: {winding} against all the rest and the core, "
        f"joined.{before}",
        "Mohm",
        between=(winding, "rest"),
        cautions=context.cautions.of(Hazard.INSULATION_TESTER),
    )
    typed, _ = yield from entered(ask, Dimension.RESISTANCE)
    context.insulation[winding] = typed.value
    body = {
        "part": "insulation",
        "winding": winding,
        "resistance": f"{typed.value / 1e6:.6g} Mohm",
        "test_voltage": f"{context.tester:g} V",
    }
    yield from context.keep(f"insulation of {winding}", body)

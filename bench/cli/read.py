"""`turnproof read`: readings from one meter, for whoever connects it for the first time."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from bench.job.bench_file import MeterEntry
    from drivers.reading import Quantity, Reading

__all__ = ["command"]


@click.command("read")
@click.argument("meter")
@click.argument("quantity")
@click.option(
    "--range", "expected", metavar="VALUE", help="The largest value expected, such as '10 V'; else automatic."
)
@click.option("--samples", default=1, show_default=True, type=click.IntRange(1, 10_000), help="How many readings.")
@click.option("--average", default=1, show_default=True, type=click.IntRange(1, 1000), help="Samples in each reading.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the line in this file.")
@click.option("--json", "as_json", is_flag=True, help="JSON lines on stdout.")
def command(
    meter: str,
    quantity: str,
    expected: str | None,
    samples: int,
    average: int,
    bench_path: Path | None,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Take readings of QUANTITY from METER.

    QUANTITY is voltage_ac, voltage_dc, current_ac, current_dc, resistance, resistance_4w or frequency.

    METER is PROFILE@PORT such as scpi@/dev/ttyUSB0 or scpi@socket://192.0.2.7:5025, the name of a meter in the bench
    file, or hand.
    """
    from bench.acceptance.session import reading_object
    from bench.sitting.opening import HAND, meter_entry, open_bench_file, open_meter
    from drivers.errors import DriverError
    from drivers.reading import Quantity

    if quantity not in _READABLE:
        raise BadInput(f"quantity {quantity!r}: expected one of {', '.join(_READABLE)}")
    wanted = Quantity(quantity)
    entry = meter_entry(open_bench_file(bench_path), meter)
    span = None if expected is None else _expected(expected, wanted)
    taken = []
    if entry.use == HAND:
        for reading in _typed(entry, wanted, samples):
            taken.append(reading)
            _show(reading, as_json, reading_object)
        return _status(taken)
    with open_meter(entry, wire_log=wire_log) as instrument:
        if not as_json:
            click.echo(f"{entry.use}: {instrument.identity or 'no identity'}", err=True)
        try:
            instrument.select(wanted, span)
            for _ in range(samples):
                taken.append(instrument.read(average))
                _show(taken[-1], as_json, reading_object)
        except DriverError as problem:
            raise InstrumentTrouble(str(problem)) from None
    return _status(taken)


def _status(taken: list[Reading]) -> int:
    from drivers.reading import State

    return ExitStatus.DONE if all(r.state is State.GOOD for r in taken) else ExitStatus.UNDECIDED


_READABLE = ("voltage_ac", "voltage_dc", "current_ac", "current_dc", "resistance", "resistance_4w", "frequency")


def _expected(text: str, quantity: Quantity) -> float:
    from bench.acceptance.instrument import DIMENSIONS
    from bench.quantities import QuantityError, parse

    try:
        return parse(text, DIMENSIONS[quantity], bare=True)
    except QuantityError as problem:
        raise BadInput(f"--range: {problem}") from None
    except KeyError:
        raise BadInput(f"--range: not for {quantity}") from None


def _show(reading: Reading, as_json: bool, as_object: Callable[[Reading], dict[str, Any]]) -> None:
    if as_json:
        click.echo(json.dumps(as_object(reading)))
    elif reading.value is None:
        click.echo(f"{reading.quantity}  {reading.state}  ({reading.raw})")
    else:
        from bench.quantities import show

        doubt = 2 * reading.standard_uncertainty
        click.echo(
            f"{reading.quantity}  {show(reading.value, reading.unit, 6)}  ±{show(doubt, reading.unit, 2)} (k = 2)"
            f"  {reading.at:%H:%M:%S}"
        )


def _typed(entry: MeterEntry, quantity: Quantity, samples: int) -> Iterator[Reading]:
    from bench.acceptance.instrument import HandInstrument
    from bench.acceptance.requests import Connect, Enter, Take, Trouble
    from bench.sitting.opening import hand_accuracies

    def ask_person(ask: Enter) -> str:
        # A second ask begins with what was wrong with the first answer; the prompt stays out of the readings' way.
        click.echo(ask.text.strip(), err=True)
        return str(click.prompt(f"{quantity} [{ask.unit}]", type=str, err=True))

    instrument = HandInstrument(
        ask_person,
        hand_accuracies(entry),
        lead_resistance=entry.lead_resistance or 0.0,
        name=entry.name,
    )
    if quantity not in instrument.quantities:
        raise BadInput(f"quantity {quantity}: expected one of {', '.join(sorted(instrument.quantities))} with hand")
    place = Connect("read", quantity, "", "")
    try:
        for _ in range(samples):
            yield instrument.take(Take("read", quantity, None), place)
    except Trouble as problem:
        raise BadInput(str(problem)) from None

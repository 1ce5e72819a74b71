"""Joins design, acceptance and diagnosis into one test of one job; the command line and the demo both start here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bench.acceptance.context import Context, Equipment, Wound
from bench.acceptance.cooling import AtSwitchOff
from bench.acceptance.instrument import Instrument
from bench.acceptance.limiter import Limiter
from bench.acceptance.meter_abilities import Wattmeter
from bench.acceptance.phases import phases_of
from bench.acceptance.procedure import Procedure
from bench.acceptance.result import StepResult, TestResult
from bench.design.forward import Forward, forward_for
from bench.diagnosis.diagnose import Diagnosis, explains_of
from bench.diagnosis.suspects import Suspects
from bench.job.bench_file import BenchFile, WattmeterEntry
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile, shipped_procedure
from bench.job.profiles import load_table
from drivers.accuracy import Accuracy as DriverAccuracy

__all__ = ["equipment_of", "procedure_for", "rules_named", "sentences"]

_RULES = "small-mains"


def rules_named(name: str = _RULES) -> dict[str, Any]:
    """The limits profile of that name."""
    return load_table("limits", name)


def procedure_for(
    job: Job,
    equipment: Equipment,
    rules: dict[str, Any],
    go_on_because: str = "",
    *,
    procedure: ProcedureFile | None = None,
    before: Mapping[str, StepResult] | None = None,
    forward: Forward | None = None,
    wound: Mapping[str, Wound] | None = None,
) -> Procedure:
    """The procedure for a job on a bench, with the diagnosis that will weigh its readings.

    procedure: the shipped one before varnish where none is given;  before: results of the stage before;  forward: of
    the same job and rules, where many units of one job are tested, so that what it worked out is used again;  wound:
    turns as counted, by winding.  Raises NotEnough, or ValueError for a procedure that can't be walked.
    """
    wanted = procedure or shipped_procedure("before-varnish")
    forward = forward or forward_for(job, rules)
    context = Context(
        job,
        forward.design,
        rules,
        equipment,
        stage=wanted.stage,
        before=before or {},
        wound=wound or {},
        cooling=_at_switch_off,
    )
    diagnosis = Diagnosis(job, rules, forward)
    return Procedure(context, diagnosis, go_on_because, phases_of(wanted), weigh=Suspects(diagnosis))


def _at_switch_off(times: Sequence[float], ohms: Sequence[float], u_reading: float) -> AtSwitchOff:
    from bench.magnetics.cooling_curve import extrapolate_to_switch_off

    curve = extrapolate_to_switch_off(times, ohms, u_reading)
    return AtSwitchOff(curve.resistance, curve.u)


def equipment_of(job: Job, bench: BenchFile, instrument: Instrument) -> Equipment:
    """What a bench file says stands on the bench, beside this meter; a lamp of no stated volts is for the job's."""
    supply_volts = 230.0 if job.supply is None else job.supply.voltage
    limiter, said = Limiter(volts=supply_volts), bench.limiter
    if said is not None and said.kind == "resistor" and said.resistance is not None:
        limiter = Limiter(f"a resistor of {said.resistance:g} ohm in series", ohms=said.resistance)
    elif said is not None and said.power is not None:
        words = f"a {said.power:g} W lamp in series (a filament lamp; LED lamps are no limiter)"
        limiter = Limiter(words, said.power, said.voltage or supply_volts)
    usual = Equipment(instrument.quantities)
    return Equipment(
        quantities=instrument.quantities,
        limiter=limiter,
        series_ohms=None if bench.resistor is None else bench.resistor.resistance,
        series_tolerance=0.01 if bench.resistor is None else bench.resistor.tolerance,
        low_volts=bench.low_voltage_source or usual.low_volts,
        volt_spans=instrument.volt_spans or usual.volt_spans,
        range_error=instrument.range_error,
        load_resistors=bench.load_resistor,
        by_hand=instrument.moves_by_hand,
        series_watts=None if bench.resistor is None else bench.resistor.power,
        doubt_of=instrument.doubt_of,
        wave_of=instrument.wave_of,
        at_once=instrument.at_once,
        wattmeter=None if bench.wattmeter is None else _wattmeter(bench.wattmeter),
        test_currents=instrument.test_currents,
    )


def _wattmeter(entry: WattmeterEntry) -> Wattmeter:
    said = entry.accuracy
    return Wattmeter(entry.name, DriverAccuracy(percent_of_reading=100 * said.of_reading, counts=said.counts))


def sentences(result: TestResult) -> dict[str, str]:
    """Each finding of a result in one sentence, by fault and winding."""
    return {f"{finding.fault}:{finding.winding}": explains_of(finding) for finding in result.findings}

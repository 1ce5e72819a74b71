"""The demo from the first turn to the certificate; observers see what a real job's would."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from bench.acceptance.context import Wound
from bench.acceptance.instrument import MeterInstrument
from bench.acceptance.procedure import Procedure
from bench.acceptance.result import TestResult
from bench.acceptance.session import Observer, TestSession
from bench.demo.rehearsal_process import RehearsalProcess
from bench.demo.winding_script import WindingScript
from bench.job.bench_file import BenchFile, MeterEntry
from bench.job.file import bench_file_in, read_job
from bench.job.model import Job
from bench.job.procedure_file import shipped_procedure
from bench.operators.rehearsal import ControlPort, RehearsalOperator
from bench.records.certificate import Form, give
from bench.records.entry import Kind
from bench.records.instrument_entry import keep_counter, keep_meter
from bench.records.kept_profiles import JUDGED_BY, kept_for_test
from bench.records.store import Store
from bench.whole_test import equipment_of, procedure_for, rules_named
from bench.winding.session import WindingSession
from bench.winding.sides import WindingObserver, WindingResult
from drivers.address import Address
from drivers.counter import Counter
from drivers.link import Link
from drivers.meter import Meter
from drivers.profile_files import load_counter_profile, load_meter_profile
from drivers.wire_log import WireLog

__all__ = ["DemoObserver", "DemoPlan", "DemoResult", "run_demo"]

# The demo's bench: what stands on it beside meter and counter.
_BENCH = """\
schema = 1

[resistor]
resistance = "1 kohm"
tolerance = 0.01

[limiter]
kind = "lamp"
power = "60 W"
"""
_METER = "demo meter"


class DemoObserver(WindingObserver, Observer, Protocol):
    """A view on the whole demo."""

    def begun(self, job: Job, winding: str) -> None: ...

    def test_begun(self, procedure: Procedure) -> None: ...

    def instrument(self, name: str, health: str) -> None: ...

    def finished(self, result: TestResult) -> None: ...


@dataclass(frozen=True)
class DemoPlan:
    """What to try: job, faults put in, seed of all that the tool is not told, where to keep it, how fast."""

    job: Path
    out: Path
    winding: str = ""
    faults: tuple[str, ...] = ()
    seed: int = 0
    speed: float = 1.0
    tcp: bool = False
    count: bool = True


@dataclass(frozen=True)
class DemoResult:
    """winding: how the counting ended, None when it was left out;  test: the verdict;  truth: what was put in."""

    winding: WindingResult | None
    test: TestResult
    certificate: Path
    record: Path
    head: str
    truth: dict[str, Any]
    acts: tuple[str, ...]


def run_demo(
    plan: DemoPlan, observers: tuple[DemoObserver, ...] = (), ended: Callable[[], bool] = lambda: False
) -> DemoResult:
    """Run it all; raises RehearsalFailed, DriverError or RecordProblem.

    The record lies in the plan's own folder: the user's is never touched.
    """
    job = read_job(plan.job)
    plan.out.mkdir(parents=True, exist_ok=True)
    number = job.identity.number
    with ExitStack() as things:
        store = things.enter_context(Store(plan.out / "records.sqlite"))
        ports = things.enter_context(RehearsalProcess(plan.job, plan.faults, plan.seed, plan.speed, tcp=plan.tcp))
        control = ControlPort(ports.control)
        control.open()
        things.callback(control.close)

        keep = _keeper(store, number)
        keep(Kind.JOB_FILE, {"file": plan.job.name, "text": plan.job.read_text(encoding="utf-8")})
        winding = acts = None
        if plan.count:
            winding, acts = _wind(plan, job, ports.counter, control, store, observers, ended)
        test = _test(plan, job, ports.meter, control, store, observers, _wound(plan, job, winding))
        truth = control.do("truth")
        for name in ("counter", "meter"):
            _keep_wire_log(plan.out / f"{name}-line.jsonl", keep)
        certificate = plan.out / "certificate.pdf"
        for form in Form:
            path = certificate.with_suffix(f".{form}")
            path.write_bytes(give(store, number, form, path.name, because="the demo was run again").contents)
        (plan.out / "result.json").write_text(json.dumps(test.as_json(), indent=1), encoding="utf-8")
        for observer in observers:
            observer.finished(test)
        return DemoResult(winding, test, certificate, store.path, store.head(number), truth, tuple(acts or ()))


def _keeper(store: Store, number: str) -> Callable[[str, dict[str, Any]], None]:
    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(number, Kind(kind), body)

    return keep


def _wind(
    plan: DemoPlan,
    job: Job,
    address: str,
    control: ControlPort,
    store: Store,
    observers: tuple[DemoObserver, ...],
    ended: Callable[[], bool],
) -> tuple[WindingResult, list[str]]:
    wanted = job.get_winding(plan.winding) if plan.winding else _to_wind(job)
    assert wanted.turns is not None
    parsed = Address.parse(address)
    profile = load_counter_profile(parsed.profile)
    # The rehearsal's clock runs faster than the wall's, and so must the one that bounds what a spindle can do.
    counter = Counter(
        Link(parsed.port, profile.line, wire_log=WireLog(plan.out / "counter-line.jsonl")),
        profile,
        clock=lambda: time.monotonic() * plan.speed,
    )
    script = WindingScript(control, wanted.turns)
    number = job.identity.number
    keep = _keeper(store, number)
    for observer in observers:
        observer.begun(job, wanted.name)
        observer.instrument("counter", f"{address}: open")
    with counter:
        counter.set_count(0.0, "a new winding")
        session = WindingSession(
            wanted, wanted.turns, counter, keep, (*observers, script), rest=max(0.3, 2.0 / plan.speed)
        )
        while session.progress is None and not ended():
            session.turn_over()  # where the coil stands is known before anything turns, as at a machine
        keep_counter(store, number, _bench(), address, counter, winding=wanted.name, during="winding")
        script.begin()
        result = session.run(ended)
    if result.progress is not None:
        progress = result.progress
        keep(
            Kind.WINDING_DONE,
            {"winding": wanted.name, "turns": progress.turns, "low": progress.low, "high": progress.high,
             "target": wanted.turns},
        )  # fmt: skip
    return result, script.told


def _wound(plan: DemoPlan, job: Job, winding: WindingResult | None) -> dict[str, Wound]:
    """What the demo's own counting says, for the test to hold against the design."""
    if winding is None or winding.progress is None:
        return {}
    progress = winding.progress
    return {plan.winding or _to_wind(job).name: Wound(progress.turns, progress.low, progress.high)}


def _to_wind(job: Job) -> Any:
    return job.primary or job.winding[0]


def _test(
    plan: DemoPlan,
    job: Job,
    address: str,
    control: ControlPort,
    store: Store,
    observers: tuple[DemoObserver, ...],
    wound: dict[str, Wound],
) -> TestResult:
    parsed = Address.parse(address)
    profile = load_meter_profile(parsed.profile)
    meter = Meter(
        Link(parsed.port, profile.line, wire_log=WireLog(plan.out / "meter-line.jsonl")),
        profile,
        address,
        # The rehearsal's meter settles faster than a real one by its speed.
        sleep=lambda seconds: time.sleep(seconds / plan.speed),
    )
    with meter:
        instrument = MeterInstrument(meter)
        number, bench = job.identity.number, _bench()
        entry, hertz = MeterEntry(name=_METER, use=address), None if job.supply is None else job.supply.frequency
        keep_meter(store, number, entry, instrument, hertz)
        for observer in observers:
            observer.instrument("meter", f"{meter.identity}: open")
        steps, rules = shipped_procedure("before-varnish"), rules_named()
        procedure = procedure_for(job, equipment_of(job, bench, instrument), rules, procedure=steps, wound=wound)
        judged_by = kept_for_test(store, job, bench, steps, rules)
        store.append(number, Kind.TEST_BEGUN, {"procedure": steps.name, JUDGED_BY: judged_by})
        for observer in observers:
            observer.test_begun(procedure)
        return TestSession(procedure, RehearsalOperator(control), instrument, _keeper(store, number), observers).run()


def _bench() -> BenchFile:
    return bench_file_in(_BENCH, Path("the demo's bench"))


def _keep_wire_log(path: Path, keep: Callable[[str, dict[str, Any]], None]) -> None:
    """The hash of a line's log enters the chain, so that it can't be exchanged later."""
    import hashlib

    if path.exists():
        data = path.read_bytes()
        keep(Kind.WIRE_LOG, {"file": path.name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()})

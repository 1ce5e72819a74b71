"""From what a person typed to an open job, bench file, meter, counter, operator or record."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from bench.acceptance.meter_said import HAND, calibrated_accuracies, hand_accuracies, response_of
from bench.job.bench_file import BenchFile, MeterEntry
from bench.job.file import FileProblem, read_bench_file, read_job
from bench.job.model import Job
from bench.records.home import bench_file_path, lock_folder, store_path
from bench.records.lock import JobHeld, JobLock
from bench.records.problem import RecordProblem
from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.sitting.shared_records import forwarder, held_on_server, use_bench
from bench.sitting.told import TOLD
from drivers.address import Address
from drivers.calibration import with_calibration
from drivers.counter import Counter
from drivers.errors import AddressError, DriverError, ProfileError
from drivers.link import Link
from drivers.meter import Meter
from drivers.profile_files import load_counter_profile, load_meter_profile
from drivers.same_device import SameDevice
from drivers.wire_log import WireLog

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = [
    "HAND",
    "counter_use",
    "hand_accuracies",
    "meter_entry",
    "open_bench_file",
    "open_counter",
    "open_job",
    "open_meter",
    "open_store",
    "response_of",
    "take_job_lock",
    "take_lock_of",
    "wire_log_at",
]

_MAINS_HERTZ = 50.0

P = TypeVar("P")
Openable = TypeVar("Openable", Meter, Counter)


def open_job(path: Path) -> Job:
    """The job in a file; raises BadInput with every problem."""
    try:
        return read_job(path)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None


def open_bench_file(path: Path | None) -> BenchFile:
    """The bench file named, or the user's own, or an empty one where there is none."""
    own = bench_file_path()
    if path is None and not own.exists():
        return BenchFile.model_validate({"schema": 1})
    try:
        bench = read_bench_file(path or own)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None
    use_bench(bench)
    return bench


def meter_entry(bench: BenchFile, text: str) -> MeterEntry:
    """The meter that `text` names: by its name in the bench file, as PROFILE@PORT, or `hand`."""
    for entry in bench.meter:
        if entry.name == text:
            return entry
    if text == HAND:
        return next((e for e in bench.meter if e.use == HAND), MeterEntry(name=HAND, use=HAND))
    _address(text, "meter", [entry.name for entry in bench.meter])
    return next((e for e in bench.meter if e.use == text), MeterEntry(name=text, use=text))


def open_meter(entry: MeterEntry, *, wire_log: Path | None = None, hertz: float | None = None) -> Meter:
    """The meter of an entry, open and identified; raises BadInput or InstrumentTrouble.

    hertz: of what it will read, None where not known: chooses among the calibrated accuracies of the entry.
    """
    address = _address(entry.use, "meter", [])
    profile = _profile(load_meter_profile, address)
    try:
        profile = with_calibration(profile, calibrated_accuracies(entry), hertz)
    except ProfileError as problem:
        raise BadInput(f"bench file, meter {entry.name}, {problem}") from None
    meter = Meter(
        Link(address.port, profile.line, wire_log=wire_log_at(wire_log), elsewhere=SameDevice(address.port)),
        profile,
        str(address),
        lead_resistance=entry.lead_resistance or 0.0,
        u_lead=None if entry.lead_resistance is None else 0.1 * entry.lead_resistance,
        frequency=hertz or _MAINS_HERTZ,
    )
    return _opened(meter)


def counter_use(bench: BenchFile, text: str) -> str:
    """PROFILE@PORT of the counter that `text` names: by its name in the bench file, or as it stands."""
    return next((entry.use for entry in bench.counter if entry.name == text), text)


def open_counter(bench: BenchFile, text: str, *, wire_log: Path | None = None) -> Counter:
    """The counter that `text` names, open; raises BadInput or InstrumentTrouble."""
    address = _address(counter_use(bench, text), "counter", [e.name for e in bench.counter])
    profile = _profile(load_counter_profile, address)
    link = Link(address.port, profile.line, wire_log=wire_log_at(wire_log), elsewhere=SameDevice(address.port))
    return _opened(Counter(link, profile))


def _profile(load: Callable[[str], P], address: Address) -> P:
    try:
        return load(address.profile)
    except ProfileError as problem:
        raise BadInput(str(problem)) from None


def wire_log_at(path: Path | None) -> WireLog | None:
    """A log of every byte in that file, None where none is wanted; raises BadInput."""
    try:
        return None if path is None else WireLog(path)
    except OSError as problem:
        raise BadInput(f"{path}: the wire log can't be written: {problem.strerror}") from None


def _opened(instrument: Openable) -> Openable:
    try:
        instrument.open()
    except DriverError as problem:
        raise InstrumentTrouble(str(problem)) from None
    return instrument


def open_store() -> Store:
    """The user's record, forwarded to a workshop's server where one is named; only read where it may not be written.

    What there is to say of how it was found goes to `TOLD`.  Raises InstrumentTrouble, BadInput.
    """
    from bench.records.store import Store  # a third of a second, which a command that keeps nothing need not wait

    path = store_path()
    sender = forwarder(path)
    try:
        store = Store(path) if sender is None else Store(path, stored=sender.stored)
    except RecordProblem as problem:
        store = _only_read(path, problem)
    store.waiting = TOLD.warning
    for line in store.said:
        TOLD.warning(line)
    return store


def _only_read(path: Path, problem: RecordProblem) -> Store:
    """Where nothing may be written, what is kept can still be looked at."""
    from bench.records.as_it_stands import StoreAsItStands, can_only_be_read

    try:
        if can_only_be_read(path, problem):
            return StoreAsItStands(path, problem, TOLD.warning)
    except RecordProblem as other:
        problem = other
    raise InstrumentTrouble(str(problem)) from None


@contextmanager
def take_job_lock(job: Job, doing: str) -> Iterator[None]:
    """Holds the lock of a job, here and for the other benches of a workshop, and fetches what those kept of it.

    Raises InstrumentTrouble that tells who holds it.
    """
    with take_lock_of(job.identity.number, doing):
        yield


@contextmanager
def take_lock_of(number: str, doing: str) -> Iterator[None]:
    """The same by the number of the job, of which no file need be here."""
    with ExitStack() as held:
        try:
            held.enter_context(JobLock(lock_folder(), number, doing))
            held.enter_context(held_on_server(number, doing))
        except JobHeld as problem:
            raise InstrumentTrouble(str(problem)) from None
        except OSError as problem:
            raise InstrumentTrouble(f"{problem.filename}: the job can't be held: {problem.strerror}") from None
        yield


def _address(text: str, kind: str, names: list[str]) -> Address:
    try:
        return Address.parse(text)
    except AddressError as problem:
        known = f"; or a {kind} of the bench file: {', '.join(names)}" if names else ""
        raise BadInput(f"{problem}{known}") from None

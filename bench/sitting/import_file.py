"""A bundle or a record from another machine: what is in it, said before anything is taken, and then taken."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.problem import RecordDiverged
from bench.sitting.problems import BadInput
from bench.sitting.record_words import one_line

if TYPE_CHECKING:
    from bench.records.exchange.incoming import Incoming
    from bench.records.exchange.taking import Against
    from bench.records.store import Store

__all__ = ["coming_from", "document_of", "lines_of", "must_be_free", "profiles_folder", "taken", "write_job"]

_SHOWN = 12


@contextmanager
def coming_from(path: Path, store: Store) -> Iterator[Incoming]:
    """What is in the file, looked through from end to end; raises BadInput in one line."""
    from bench.records.exchange.archive import BundleProblem
    from bench.records.exchange.incoming import incoming

    if path.suffix.lower() not in (".zip", ".json"):
        raise BadInput(f"{path}: expected a bundle that ends in .zip, or a record that ends in .json")
    try:
        with incoming(path, store.path.parent) as coming:
            yield coming
    except BundleProblem as problem:
        raise BadInput(f"{path}: {one_line(str(problem), 300)}") from None


def document_of(coming: Incoming, standing: Against) -> dict[str, Any]:
    """What is in it, for a program."""
    seen = coming.seen
    return {
        "schema": 1, "job": coming.number, "program": coming.program, "entries": seen.entries, "from": seen.begun,
        "to": seen.ended, "head": seen.hash_at(seen.entries), "kinds": dict(sorted(seen.kinds.items())),
        "unknown_kinds": list(seen.unknown), "verdict": seen.verdict, "job_file": bool(coming.job_text),
        "pictures": list(coming.names("attachments/")), "counter_lines": list(coming.names("lines/")),
        "profiles": list(coming.names("profiles/")), "missing": list(coming.missing),
        "tell_where_taken": list(coming.telling),
        "here": {"entries": standing.here, "same": standing.same, "new": standing.new, "diverged": standing.diverged},
    }  # fmt: skip


def lines_of(coming: Incoming, standing: Against) -> list[str]:
    """What is in it, for a person."""
    seen = coming.seen
    program = f", written by turnproof {one_line(coming.program)}" if coming.program else ""
    lines = [f"job {coming.number}{_name(coming.job_text)}{program}"]
    tested = f", last test {seen.verdict}" if seen.verdict else ""
    lines.append(f"record: {seen.entries} entries, chain whole, from {seen.begun[:10]} to {seen.ended[:10]}{tested}")
    for what, place in (
        ("pictures and certificates", "attachments/"),
        ("counters' lines", "lines/"),
        ("profiles", "profiles/"),
    ):
        names = coming.names(place)
        if names:
            told = f": {_listed([name.removeprefix(place) for name in names])}" if place == "profiles/" else ""
            lines.append(f"{what}: {len(names)}{told}")
    if seen.unknown:
        several = ", ".join(f"{kind} ({seen.kinds[kind]})" for kind in seen.unknown)
        lines.append(f"a newer program wrote entries that this one keeps and can't read: {several}")
    if coming.missing:
        lines.append(f"named in the record and not in the file: {_listed([_short(name) for name in coming.missing])}")
    if coming.telling:
        lines.append(f"pictures that tell where or when they were taken: {len(coming.telling)}")
    if problem := _job_problem(coming):
        lines.append(f"its job file can't be read by this program: {problem}")
    lines.append(f"here: {_standing(standing)}; head {seen.hash_at(seen.entries)}")
    return lines


def must_be_free(coming: Incoming, job_file: Path) -> None:
    """Raises BadInput where the job file or its profiles would lie over something, or there is none to write."""
    if not coming.job_text:
        raise BadInput(f"--job-file {job_file}: the record holds no job file")
    if job_file.suffix != ".toml":
        raise BadInput(f"--job-file {job_file}: expected a name that ends in .toml")
    for path in (job_file, profiles_folder(job_file)):
        if path.exists() or path.is_symlink():
            raise BadInput(f"--job-file {job_file}: {path} is there already, and is not written over")
    if not job_file.resolve().parent.is_dir():
        raise BadInput(f"--job-file {job_file}: no folder {job_file.parent}, expected one that is there")


def taken(store: Store, coming: Incoming, *, with_location: bool) -> int:
    """How many entries were new; raises BadInput, RecordProblem, InstrumentTrouble where somebody works on the job."""
    from bench.records.exchange.archive import BundleProblem
    from bench.records.exchange.taking import take
    from bench.sitting.opening import take_lock_of
    from bench.sitting.shared_records import forwarder

    if coming.telling and not with_location:
        raise BadInput(
            f"{coming.number}: {coming.telling[0][:24]}… holds the place or time at which it was taken, and is kept "
            "as it is or its hash would not hold: --with-location takes it so; nothing is taken"
        )
    with take_lock_of(coming.number, "record import"):
        try:
            new = take(store, coming)
        except (RecordDiverged, BundleProblem) as problem:
            raise BadInput(str(problem)) from None
    sender = forwarder(store.path) if new else None
    if sender is not None:
        sender.stored(coming.number)
    return new


def write_job(coming: Incoming, job_file: Path) -> list[Path]:
    """The job file, and the profiles in a folder beside it, where nothing reads them unasked; raises BadInput."""
    from bench.sitting.written_file import write_whole

    written = [write_whole(job_file, coming.job_text, over=False)]
    folder = profiles_folder(job_file)
    for name in coming.names("profiles/"):
        path = folder / name.removeprefix("profiles/")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise BadInput(f"{path.parent}: can't be made: {problem.strerror}") from None
        written.append(write_whole(path, coming.read(name), over=False))
    return written


def profiles_folder(job_file: Path) -> Path:
    """Where the profiles of a bundle go."""
    return job_file.with_name(f"{job_file.stem}-profiles")


def _standing(one: Against) -> str:
    if one.diverged:
        return f"the same to entry {one.same}, then gone on with at both places: can't be brought together"
    if not one.here:
        return "nothing of it yet"
    if not one.new:
        return "all of it" if one.here == one.there else f"all of it, and {one.here - one.there} entries more"
    return f"its first {one.here} entries; {one.new} follow"


def _listed(names: list[str]) -> str:
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more


def _name(job_text: str) -> str:
    try:
        said = tomllib.loads(job_text).get("identity", {}).get("name", "")
    except (ValueError, RecursionError, AttributeError):
        return ""
    return f", {one_line(said)}" if isinstance(said, str) and said else ""


def _job_problem(coming: Incoming) -> str:
    from bench.job.file import FileProblem, model_from
    from bench.job.model import Job

    if not coming.job_text:
        return ""
    try:
        model_from(Path("job.toml"), tomllib.loads(coming.job_text), Job)
    except FileProblem as problem:
        return one_line(problem.lines[0])
    return ""


def _short(name: str) -> str:
    """A file that is named by its hash, by the beginning of it."""
    return name if len(name) < 64 else f"{name[:12]}…"

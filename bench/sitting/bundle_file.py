"""What goes into a job's bundle beside its record: the job file, profiles that it rests on, pictures that may go."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.exchange.bundle import Contents
    from bench.records.store import Store

__all__ = ["bundle_of", "job_text_of", "tells_where"]

_OF_TABLES = ("limits", "steels", "laminations", "wires", "meters", "counters")


def job_text_of(job: str) -> str:
    """Text of the job file, where one was named; empty for a number, whose newest text the record has."""
    path = Path(job)
    return path.read_text(encoding="utf-8") if path.suffix == ".toml" or path.is_file() else ""


def bundle_of(store: Store, number: str, job_text: str, own: tuple[Path, ...], *, with_location: bool) -> Contents:
    """own: profiles of the workshop that go in besides;  with_location: whether a picture that tells where it was taken
    may go out.  Raises BadInput, RecordProblem."""
    from bench.records.exchange.bundle import contents_of
    from bench.records.exchange.names import ATTACHMENTS

    contents = contents_of(store, number, job_text, {})
    if not with_location:
        telling = [path.name for name, path in contents.kept.items()
                   if name.startswith(ATTACHMENTS) and tells_where(path.read_bytes())]  # fmt: skip
        if telling:
            raise BadInput(
                f"{number}: {_pictures(telling)} the place or time at which it was taken; --with-location lets it out"
            )
    profiles = {**_shipped(store, number, contents.job_text), **_own(own)}
    return contents_of(store, number, job_text, profiles)


def tells_where(picture: bytes) -> bool:
    """Whether a place or time stands in it, beside the picture; of a form that is not known nobody can say."""
    from bench.records.without_location import without_location

    plain = without_location(picture)
    return plain is not None and plain != picture


def _pictures(names: list[str]) -> str:
    more = f" and {len(names) - 1} more pictures hold" if len(names) > 1 else " holds"
    return f"attachments/{names[0][:12]}…{more}"


def _shipped(store: Store, number: str, job_text: str) -> dict[str, bytes]:
    """Tables that the job's figures rest on, as its record kept them last, else as they are now: name below
    `profiles/`, contents."""
    from bench.job.procedure_file import shipped_procedure
    from bench.job.profiles import known
    from bench.records.entry import Kind
    from bench.records.exchange.names import PROFILES, name_problem
    from bench.records.kept_profiles import contents_in

    kept = {f"{one.what}/{one.name}.toml": one.text.encode() for one in contents_in(store, number).values()
            if one.what in _OF_TABLES and not name_problem(f"{PROFILES}{one.what}/{one.name}.toml")}  # fmt: skip
    names = {("limits", "survey"), *(("laminations", name) for name in known("laminations"))}
    steel = _core(job_text).get("steel")
    if steel in known("steels"):
        names.add(("steels", str(steel)))
    for test in store.entries(number, Kind.TEST_BEGUN):
        procedure = str(test.body.get("procedure"))
        if procedure in known("procedures"):
            names |= {("procedures", procedure), ("limits", shipped_procedure(procedure).rules)}
    shipped = {f"{kind}/{name}.toml": _table(kind, name) for kind, name in sorted(names) if name in known(kind)}
    return {**shipped, **kept}


def _core(job_text: str) -> Mapping[str, object]:
    try:
        core = tomllib.loads(job_text).get("core")
    except tomllib.TOMLDecodeError:
        return {}
    return core if isinstance(core, dict) else {}


def _table(kind: str, name: str) -> bytes:
    from bench.job.profiles import profile_folder

    return (profile_folder(kind) / f"{name}.toml").read_bytes()


def _own(paths: tuple[Path, ...]) -> dict[str, bytes]:
    from bench.job.file import FileProblem, read_table
    from bench.records.exchange.names import PROFILES, name_problem

    found: dict[str, bytes] = {}
    for path in paths:
        try:
            read_table(path)
        except FileProblem as problem:
            raise BadInput("\n".join(problem.lines)) from None
        if name_problem(f"{PROFILES}{path.name}"):
            raise BadInput(f"--with {path}: expected a name of letters, digits, '-' and '_' that ends in .toml")
        if path.name in found:
            raise BadInput(f"--with {path}: two of that name, expected each once")
        found[path.name] = path.read_bytes()
    return found

"""What a shell offers while a command is typed: each quickly, from files as they stand, and never a complaint."""

from __future__ import annotations

import os
import re
import sqlite3
import tomllib
from collections.abc import Iterable
from contextlib import closing, suppress
from pathlib import Path
from typing import Any, NamedTuple

__all__ = [
    "FAULT_NAMES",
    "Offer",
    "bench_files",
    "counters",
    "example_jobs",
    "fault_names",
    "faults",
    "files",
    "found_windings",
    "guide_pages",
    "job_files",
    "jobs_on_record",
    "meters",
    "operators",
    "ports",
    "procedures",
    "quantities",
    "verdicts",
    "winders",
    "windings",
]

_MOST = 500
"""Names of a folder that are looked at: a shell that waits is worse than one that offers less."""


class Offer(NamedTuple):
    """A word that may stand there, and what is said of it."""

    word: str
    about: str = ""


FAULT_NAMES = (
    "core_gap",
    "core_stack_short",
    "core_steel_degraded",
    "insulation_low",
    "joint_poor",
    "laminations_bridged",
    "leads_swapped",
    "none",
    "reading_wrong",
    "screen_closed",
    "screen_unearthed",
    "strand_open",
    "strands_unequal",
    "supply_wrong",
    "tap_misplaced",
    "turns_shorted",
    "turns_wrong",
    "winding_open",
    "winding_reversed",
    "wire_wrong",
)
"""As the rehearsal has them, which takes a second to import; a test holds the two together."""


def files(typed: str, suffix: str = ".toml", holds: str = "") -> list[Offer]:
    """Folders, and files of a suffix whose text has a line that begins with `holds`."""
    folder, slash, begun = typed.rpartition("/")
    offers = []
    with suppress(OSError):
        names = sorted(os.listdir(os.path.expanduser(folder + slash) or "."))[:_MOST]
        for name in names:
            if not name.startswith(begun) or (name.startswith(".") and not begun):
                continue
            path = os.path.join(os.path.expanduser(folder + slash), name)
            if os.path.isdir(path):
                offers.append(Offer(f"{folder}{slash}{name}/"))
            elif name.endswith(suffix) and _holds(path, holds):
                offers.append(Offer(f"{folder}{slash}{name}"))
    return offers


def job_files(typed: str) -> list[Offer]:
    return files(typed, holds=r"\[identity\]|identity\s*[.=]")


def bench_files(typed: str) -> list[Offer]:
    return files(typed, holds=r"schema\s*=")


def jobs_on_record(typed: str) -> list[Offer]:
    """Numbers of jobs in this bench's own record, then job files."""
    return [*_begin(typed, (Offer(number, "on record") for number in _numbers())), *job_files(typed)]


def windings(typed: str, job: Path | None) -> list[Offer]:
    """Of the job, as it will be wound."""
    return _begin(typed, (Offer(name, role) for name, role in _named(_table(job).get("winding"))))


def found_windings(typed: str, job: Path | None) -> list[Offer]:
    """Of the job, as it came; those to be wound where none is known as found."""
    found = _table(job).get("as_found")
    names = list(_named(found.get("winding"))) if isinstance(found, dict) else []
    return _begin(typed, (Offer(name, role) for name, role in names)) or windings(typed, job)


def meters(typed: str, bench: Path | None = None, *, roles: bool = False) -> list[Offer]:
    """Meters of the bench file, `hand`, and PROFILE@PORT; with `roles` also behind volts=, amps= or ohms=."""
    role, equals, rest = typed.partition("=")
    if roles and equals and role in _ROLES:
        return [Offer(f"{role}={one.word}", one.about) for one in meters(rest, bench)]
    instruments = _instruments(typed, "meter", "meters", bench)
    return [*instruments, *(_begin(typed, (Offer(f"{one}=") for one in _ROLES)) if roles else [])]


def counters(typed: str, bench: Path | None = None) -> list[Offer]:
    """Counters of the bench file, `hand`, and PROFILE@PORT."""
    return _instruments(typed, "counter", "counters", bench)


def ports(typed: str) -> list[Offer]:
    """Serial ports of this machine, with what is known of each."""
    from serial.tools import list_ports

    found = sorted((str(one.device), str(one.description or "")) for one in list_ports.comports())
    return _begin(typed, (Offer(device, about if about != "n/a" else "") for device, about in found))


def faults(typed: str, job: Path | None) -> list[Offer]:
    """NAME, then NAME:WINDING with the windings of the job and their taps."""
    name, colon, begun = typed.partition(":")
    if not colon:
        return fault_names(typed)
    places = []
    for table in _tables(_table(job).get("winding")):
        wound = str(table.get("name", ""))
        places += [wound, *(f"{wound}.{tap.get('name')}" for tap in _tables(table.get("taps")))]
    return _begin(typed, (Offer(f"{name}:{place}") for place in places if place.startswith(begun)))


def fault_names(typed: str) -> list[Offer]:
    return _begin(typed, (Offer(one) for one in FAULT_NAMES))


def verdicts(typed: str) -> list[Offer]:
    words = ("accepted", "rejected", "undecided", "incomplete", "trouble", "untested")
    return _begin(typed, (Offer(one) for one in words))


def guide_pages(typed: str) -> list[Offer]:
    folder = Path(__file__).resolve().parents[1] / "guide"
    return _begin(typed, (Offer(path.stem) for path in sorted(folder.glob("*.md"))))


def example_jobs(typed: str) -> list[Offer]:
    return [*_begin(typed, (Offer(name, "example") for name in _shipped("jobs"))), *job_files(typed)]


def procedures(typed: str) -> list[Offer]:
    own = files(typed, holds=r"\[\[step\]\]")
    return [*_begin(typed, (Offer(name, "shipped") for name in _shipped("procedures"))), *own]


def winders(typed: str) -> list[Offer]:
    return [*_begin(typed, (Offer(name, "shipped") for name in _shipped("winders"))), *files(typed)]


def quantities(typed: str) -> list[Offer]:
    from drivers.reading import Quantity

    return _begin(typed, (Offer(str(one)) for one in Quantity))


def operators(typed: str) -> list[Offer]:
    return _begin(typed, (Offer(one) for one in ("terminal", "json", "rehearsal@")))


_ROLES = ("volts", "amps", "ohms")


def _instruments(typed: str, kind: str, profiles: str, bench: Path | None) -> list[Offer]:
    profile, at, port = typed.partition("@")
    if at:
        return [Offer(f"{profile}@{one.word}", one.about) for one in ports(port)]
    named = [Offer(name, use) for name, use in _named(_bench_table(bench).get(kind), "use")]
    usual = [Offer("hand", "typed by a person"), *(Offer(f"{name}@", "PROFILE@PORT") for name in _profiles(profiles))]
    return _begin(typed, [*named, *usual])


def _begin(typed: str, offers: Iterable[Offer]) -> list[Offer]:
    return [one for one in offers if one.word.startswith(typed)]


def _holds(path: str, line: str) -> bool:
    if not line:
        return True
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            return re.search(rf"^\s*(?:{line})", file.read(20_000), re.M) is not None
    except OSError:
        return False


def _table(path: Path | None) -> dict[str, Any]:
    """A file as it stands, half written perhaps: then what there is of it is nothing."""
    with suppress(OSError, ValueError, RecursionError):
        if path is not None:
            return tomllib.loads(Path(path).expanduser().read_text(encoding="utf-8"))
    return {}


def _bench_table(bench: Path | None) -> dict[str, Any]:
    from bench.records.home import bench_file_path

    return _table(bench or bench_file_path())


def _tables(found: object) -> list[dict[str, Any]]:
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _named(found: object, about: str = "role") -> list[tuple[str, str]]:
    return [(str(one["name"]), str(one.get(about, ""))) for one in _tables(found) if one.get("name")]


def _shipped(kind: str) -> list[str]:
    from bench.job.profiles import known

    return known(kind)


def _profiles(kind: str) -> list[str]:
    """Names of the drivers' profiles; its own reader would import what patterns need."""
    import drivers

    home = Path(drivers.__file__).resolve().parent
    folder = home / "profiles" / kind
    return sorted(one.stem for one in (folder if folder.is_dir() else home.parent / "profiles" / kind).glob("*.toml"))


def _numbers() -> list[str]:
    """Each job once, by stepping from one to the next: a million counts of a job are passed over."""
    from bench.records.home import store_path

    next_one = "SELECT MIN(job) FROM entry WHERE job > ?"
    found: list[str] = []
    with suppress(sqlite3.Error, OSError):
        if not store_path().is_file():
            return []
        address = f"{store_path().absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(address, uri=True, timeout=0.1)) as connection:
            number = connection.execute(next_one, ("",)).fetchone()[0]
            while number is not None and len(found) < _MOST:
                found.append(str(number))
                number = connection.execute(next_one, (number,)).fetchone()[0]
    return found

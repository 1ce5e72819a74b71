"""Finds the profiles that came with the program, or a person's own, and reads them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from drivers.counter_profile import CounterProfile, counter_profile_from
from drivers.errors import ProfileError
from drivers.meter_profile import MeterProfile
from drivers.meter_profile_tables import meter_profile_from

__all__ = [
    "counter_profile_in",
    "load_counter_profile",
    "load_meter_profile",
    "meter_profile_in",
    "meter_profile_table",
    "profile_names",
    "profile_text",
]

_HERE = Path(__file__).resolve().parent
_CHECKOUT = _HERE.parent / "profiles"
_INSTALLED = _HERE / "profiles"


def load_meter_profile(name: str) -> MeterProfile:
    """A meter's profile by its name, or a file of the user's (`my/meter.toml`); raises ProfileError."""
    where, data = _read(name, "meters")
    return meter_profile_from(data, where)


def meter_profile_table(name: str) -> Mapping[str, object]:
    """A meter's profile as it stands in its file; raises ProfileError."""
    return _read(name, "meters")[1]


def load_counter_profile(name: str) -> CounterProfile:
    """A counter's profile by its name, or a file of the user's; raises ProfileError."""
    where, data = _read(name, "counters")
    return counter_profile_from(data, where)


def profile_text(name: str, kind: str) -> str:
    """A profile as it stands in its file; kind is "meters" or "counters"; raises ProfileError."""
    return _text(name, kind)[1]


def meter_profile_in(text: str, where: str) -> MeterProfile:
    """A meter's profile in the text of its file; where: for a person; raises ProfileError."""
    return meter_profile_from(_table(where, text), where)


def counter_profile_in(text: str, where: str) -> CounterProfile:
    """A counter's profile in the text of its file; where: for a person; raises ProfileError."""
    return counter_profile_from(_table(where, text), where)


def profile_names(kind: str) -> tuple[str, ...]:
    """Names of the profiles that came with the program; kind is "meters" or "counters"."""
    return tuple(sorted(file.stem for file in _folder(kind).glob("*.toml")))


def _folder(kind: str) -> Path:
    installed = _INSTALLED / kind
    return installed if installed.is_dir() else _CHECKOUT / kind


def _read(name: str, kind: str) -> tuple[str, Mapping[str, object]]:
    where, text = _text(name, kind)
    return where, _table(where, text)


def _text(name: str, kind: str) -> tuple[str, str]:
    own = "/" in name or "\\" in name or name.endswith(".toml")
    file = Path(name) if own else _folder(kind) / f"{name}.toml"
    where = str(file) if own else f"profile {name}"
    if not own and name not in profile_names(kind):
        there = ", ".join(profile_names(kind)) or "none"
        near = f"; did you mean the file {name}.toml?" if _is_file(f"{name}.toml") else ""
        raise ProfileError(f"{where}: not known; {kind} there are: {there}; or give a .toml file of your own{near}")
    try:
        return where, file.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise ProfileError(f"{where}: no such file") from error
    except (OSError, UnicodeDecodeError) as error:
        raise ProfileError(f"{where}: can't be read ({error})") from error


def _table(where: str, text: str) -> Mapping[str, object]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"{where}: not a TOML file ({error})") from error


def _is_file(name: str) -> bool:
    try:
        return Path(name).is_file()
    except (OSError, ValueError):
        return False

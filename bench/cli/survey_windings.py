"""The windings of a unit as found, typed by name, role and plate, and looked over before anything is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from bench.cli.asking import Asking, Stopped
from bench.job.as_found import FoundWinding, PlateVolts
from bench.job.winding import Name, Role
from bench.quantities import show

if TYPE_CHECKING:
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["NamingWindings", "winding_words"]

Keep = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`as found`, `note`) as soon as it is typed."""

_ROLES = {"p": "primary", "primary": "primary", "s": "secondary", "secondary": "secondary"}


class NamingWindings:
    """Asks for the windings where nothing names them, and whether those that were typed earlier are right."""

    def __init__(self, asking: Asking, keep: Keep, known: Callable[[], KnownSoFar]) -> None:
        self._asking = asking
        self._keep = keep
        self._known = known

    def settle(self) -> None:
        """The windings of the job file stand; those of the record are shown and may be typed anew; raises Stopped."""
        gathered = self._known().gathered
        if gathered.found.winding and not gathered.named_by_record:
            return
        if gathered.found.winding:
            self._asking.say("")
            self._asking.say("> The windings as they were typed, inside first")
            for one in gathered.found.winding:
                self._asking.say(f"  {winding_words(one)}")
            if self._asking.yes("as kept? [Y/n] ", default=True):
                return
            self._take_back()
        self._name_all()

    def _name_all(self) -> None:
        while True:
            self._asking.say("")
            self._asking.say("> The windings as found, inside first")
            self._asking.say(
                "The job file can tell more of them ([[as_found.winding]]: wire, taps, leads); then that stands."
            )
            names: list[str] = []
            primary = ""
            while (name := self._name(len(names) + 1, names)) is not None:
                names.append(name)
                primary = self._winding(name, primary)
            if not names:
                raise Stopped("without the windings nothing can be asked")
            if self._asking.yes(f"Inside first: {', '.join(names)}. Right? [Y/n] ", default=True):
                return
            self._take_back()

    def _take_back(self) -> None:
        self._keep("as found", {"part": "winding", "taken_back": True})

    def _name(self, number: int, names: list[str]) -> str | None:
        more = "" if number == 1 else ", Enter when there are no more"
        prompt = f"winding {number}, its name (such as primary, ht, heater{more})"
        while (name := self._asking.value(prompt, Name)) is not None:
            if name.casefold() not in {one.casefold() for one in names}:
                return name
            self._asking.say(f"  {name!r} is named already, expected another name")
        return None

    def _winding(self, name: str, primary: str) -> str:
        """Keeps one winding; the name of the primary, with this one."""
        role = self._role(name, primary)
        body: dict[str, Any] = {"part": "winding", "name": name, "role": role}
        volts = self._asking.value(
            f"  {name}, volts by the plate (whole winding, such as 6.3 V or 300-0-300 V)", PlateVolts, bare="V"
        )
        if volts is not None:
            body["nameplate_voltage"] = volts
        self._keep("as found", body)
        return name if role == Role.PRIMARY else primary

    def _role(self, name: str, primary: str) -> str:
        usual = "p" if name.lower().startswith("p") and not primary else "s"
        while True:
            role = self._asking.choice(f"  {name}, role (p = primary, s = secondary) [{usual}]", _ROLES, _ROLES[usual])
            if role == Role.SECONDARY or not primary:
                return role
            self._asking.say(f"  {primary} is the primary already, expected one (with taps, if need be): s for {name}")


def winding_words(one: FoundWinding) -> str:
    """Name, role and plate of a winding in a line."""
    plate = "no volts by the plate" if one.nameplate_voltage is None else f"plate {show(one.nameplate_voltage, 'V')}"
    return f"{one.name}: {one.role or 'role not known'}, {plate}"

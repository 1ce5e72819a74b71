"""`turnproof survey JOB --read`: the readings as found, typed in the order of least risk and kept one by one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter, ValidationError

from bench.acceptance.cautions import Cautions, Hazard
from bench.job.as_found import FoundWinding
from bench.job.fields import Amps, Hertz, Kelvin, Ohms, TypedOhms, TypedVolts, Volts, Watts
from bench.job.winding import Name, Role
from bench.survey.gathered import lead_names

if TYPE_CHECKING:
    from bench.cli.survey_known import KnownSoFar
    from bench.cli.typed_lines import TypedLines

__all__ = ["AsFoundReader", "Stopped"]

Keep = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`as found`, `note`) as soon as it is typed."""

_OVERLOAD = ("ol", "o.l", "0l", "overload", "over", "open")


class Stopped(Exception):
    """The person said q, or the input ended: what was read is kept."""


class AsFoundReader:
    """Asks for everything that can be read on the unit as found; `known` is asked again whenever it may have grown."""

    def __init__(
        self,
        keyboard: TypedLines,
        say: Callable[[str], None],
        keep: Keep,
        known: Callable[[], KnownSoFar],
        refuse_ohm: float,
        meter: str,
    ) -> None:
        self._keyboard = keyboard
        self._say = say
        self._keep = keep
        self._known = known
        self._refuse_ohm = refuse_ohm
        self._meter = meter
        self._cautions = Cautions()

    def read_all(self) -> None:
        """From the windings to the exciting current; raises Stopped."""
        self._caution(Hazard.LOCAL_CODES)
        self._say("Type each reading with its unit and all the digits that the meter shows, such as 107.30 ohm.")
        self._say("Enter leaves one out, q ends; each is kept as soon as it is typed, and a later one replaces it.")
        self._windings()
        self._insulation()
        self._resistances()
        if self._may_feed():
            self._fed()

    # -- with nothing fed --------------------------------------------------------------------------

    def _windings(self) -> None:
        if self._known().gathered.found.winding:
            return
        while True:
            self._heading("The windings as found, inside first")
            self._say("The job file can tell more of them ([[as_found.winding]]: wire, taps, leads); then that stands.")
            names: list[str] = []
            while (name := self._name(len(names) + 1, names)) is not None:
                names.append(name)
                self._winding(name)
            if not names:
                raise Stopped("without the windings nothing can be asked")
            if self._yes(f"Inside first: {', '.join(names)}. Right? [Y/n] ", True):
                return
            self._keep("as found", {"part": "winding", "taken_back": True})

    def _name(self, number: int, names: list[str]) -> str | None:
        more = "" if number == 1 else ", Enter when there are no more"
        while (
            name := self._value(f"winding {number}, its name (such as primary, ht, heater{more})", Name)
        ) is not None:
            if name not in names:
                return name
            self._say(f"  {name!r} is named already, expected another name")
        return None

    def _winding(self, name: str) -> None:
        body: dict[str, Any] = {"part": "winding", "name": name}
        role = self._ask(f"  {name}, role (p = primary, s = secondary) [{name[0] if name[0] in 'p' else 's'}]").lower()
        primary = role.startswith("p") or (not role and name.startswith("p"))
        body["role"] = str(Role.PRIMARY if primary else Role.SECONDARY)
        volts = self._value(f"  {name}, volts by the plate (whole winding, such as 6.3 V)", Volts)
        if volts is not None:
            body["nameplate_voltage"] = volts
        self._keep("as found", body)

    def _insulation(self) -> None:
        self._heading("Insulation, before anything is fed: each winding to all the rest and the core, joined")
        self._caution(Hazard.INSULATION_TESTER)
        test_volts = self._value("volts of the insulation tester (such as 500 V)", Volts)
        for one in self._own():
            ohms = self._value(
                f"{one.name} to all the rest and the core (such as 85 Mohm; past the tester's range > 2000 Mohm)", Ohms,
                clean=lambda text: text.lstrip("> "),
            )  # fmt: skip
            if ohms is not None:
                told = {} if test_volts is None else {"test_voltage": test_volts}
                self._keep("as found", {"part": "insulation", "winding": one.name, "resistance": ohms, **told})

    def _resistances(self) -> None:
        self._heading("Resistance of every winding; subtract what the leads read when held together")
        self._caution(Hazard.KICK)
        temperature = self._value(
            "temperature of the copper: the room's, if it lay there for hours (such as 21 degC)", Kelvin
        )
        told = {} if temperature is None else {"temperature": temperature}
        for one in self._own():
            for name in lead_names(one):
                ohms = self._value(
                    f"{name} (such as 107.30 ohm; OL where the meter shows none)", TypedOhms, open_ok=name
                )
                if ohms is not None:
                    body = {"part": "resistance", "winding": name, "resistance": ohms, **told, "meter": self._meter}
                    self._keep("as found", body)

    # -- the gate before feeding -------------------------------------------------------------------

    def _may_feed(self) -> bool:
        """False where insulation is low or was not read, unless a reason is typed, which is kept."""
        read = {one.winding: one.resistance for one in self._known().gathered.found.insulation}
        low = [one.name for one in self._own() if read.get(one.name, self._refuse_ohm) < self._refuse_ohm]
        unread = [one.name for one in self._own() if one.name not in read]
        if not low and not unread:
            return True
        self._say("")
        if low:
            self._say(
                f"Insulation of {', '.join(low)} is below {self._refuse_ohm / 1e6:g} Mohm: nothing is fed before it is "
                "dried and read again, or stripped."
            )
        if unread:
            self._say(f"Insulation of {', '.join(unread)} was not read: nothing is fed before it is.")
        reason = self._ask("Why feed it all the same? (Enter = don't)")
        if not reason:
            return False
        self._keep("note", {"text": f"fed past the insulation gate because: {reason}"})
        return True

    # -- fed ---------------------------------------------------------------------------------------

    def _fed(self) -> None:
        known = self._known()
        windings = known.gathered.found.winding
        first = None if known.survey is None else known.survey.first
        self._heading(
            "Open-circuit volts; feed one winding from a low voltage up, through a lamp or resistor in series"
        )
        plates = [one.nameplate_voltage for one in windings if one.nameplate_voltage is not None]
        high = [Hazard.HIGH_VOLTS] if max(plates, default=0.0) > 300 else []
        self._caution(Hazard.LOW_VOLTS, Hazard.MAINS, *high)
        if first is not None:
            self._say(f"Begin with at most {first.volts:.3g} V on {first.winding}, and on no other winding.")
        self._say("Part of the volts will do: the ratio is the same, as long as both are read at the same moment.")
        fed = self._which_is_fed(windings, None if first is None else first.winding, "which winding is fed")
        if fed is None:
            return
        self._steps_up(windings, fed)
        frequency = self._value("frequency of the supply (such as 50 Hz)", Hertz)
        for one in windings:
            for name in lead_names(one):
                if name != fed:
                    self._pair(fed, name, frequency)
        primary = next((one.name for one in windings if one.role is Role.PRIMARY), None)
        if primary not in (None, fed):
            self._say("The exciting current tells most on the primary, at the volts of its plate.")
            taking = self._which_is_fed(windings, primary, "which winding takes the exciting current")
            if taking is None:
                return
            fed = taking
        self._exciting(fed, frequency)

    def _which_is_fed(self, windings: tuple[FoundWinding, ...], usual: str | None, question: str) -> str | None:
        names = [name for one in windings for name in lead_names(one)]
        primary = next((one.name for one in windings if one.role is Role.PRIMARY), None)
        default = usual or primary or names[0]
        while True:
            text = self._ask(f"{question} [{default}], or none")
            if text.lower() == "none":
                return None
            if (text or default) in names:
                return text or default
            self._say(f"  {text!r} is no winding as found, expected one of {', '.join(names)}, or none")

    def _steps_up(self, windings: tuple[FoundWinding, ...], fed: str) -> None:
        """Low volts are low only where they are put in."""
        plates = {one.name: one.nameplate_voltage for one in windings if one.nameplate_voltage is not None}
        if fed not in plates:
            return
        top = max(plates, key=lambda name: plates[name])
        if plates[top] > plates[fed]:
            self._say(f"By the plates each volt on {fed} makes about {plates[top] / plates[fed]:.2g} V on {top}.")

    def _pair(self, fed: str, name: str, frequency: str | None) -> None:
        fed_volts = self._value(f"{name}: volts on {fed} at the same moment", TypedVolts)
        if fed_volts is None:
            return
        volts = self._value(f"{name}: its volts", TypedVolts)
        if volts is None:
            return
        body = {"part": "volts", "fed": fed, "fed_voltage": fed_volts, "winding": name, "voltage": volts}
        told = {} if frequency is None else {"frequency": frequency}
        self._keep("as found", {**body, **told, "meter": self._meter})

    def _exciting(self, fed: str, frequency: str | None) -> None:
        self._heading(f"Exciting current of {fed} at several volts, rising, nothing connected to the others")
        if frequency is None:
            frequency = self._value("frequency of the supply (such as 50 Hz); without it no curve is taken", Hertz)
            if frequency is None:
                return
        self._say("Three points or more; end where the current grows much faster than the volts, or at full volts.")
        while True:
            volts = self._value(f"volts on {fed} (Enter when there are no more)", Volts)
            if volts is None:
                return
            amps = self._value(f"  current at {volts} (such as 46.2 mA)", Amps)
            if amps is None:
                continue
            watts = self._value("  watts, where you can read them (such as 2.8 W)", Watts)
            told = {} if watts is None else {"power": watts}
            body = {"part": "exciting", "fed": fed, "frequency": frequency, "voltage": volts, "current": amps}
            self._keep("as found", {**body, **told})

    # -- asking ------------------------------------------------------------------------------------

    def _own(self) -> tuple[FoundWinding, ...]:
        """The windings of the unit, without coils of one's own."""
        return tuple(one for one in self._known().gathered.found.winding if not one.search_coil)

    def _value(self, prompt: str, field: Any, *, clean: Callable[[str], str] = str, open_ok: str = "") -> str | None:
        """What was typed, once the field takes it; None where Enter leaves it out.

        open_ok: the winding of which an overload is kept as a note: it is open, and that is no number.
        """
        adapter = TypeAdapter(field)
        while text := self._ask(prompt):
            if text.lower() in _OVERLOAD and open_ok:
                self._keep("note", {"text": "resistance as found: over range, open", "winding": open_ok})
                return None
            cleaned = clean(text)
            try:
                adapter.validate_python(cleaned)
            except ValidationError as problem:
                self._say(f"  {_reason(problem, text)}")
            else:
                return cleaned
        return None

    def _yes(self, prompt: str, default: bool) -> bool:
        answer = self._line(prompt).lower()
        return default if not answer else answer.startswith("y")

    def _ask(self, prompt: str) -> str:
        return self._line(f"{prompt}: ")

    def _line(self, prompt: str) -> str:
        try:
            text = self._keyboard.ask(prompt).strip()
        except EOFError:
            self._say("")
            raise Stopped("the input ended") from None
        if text.lower() in ("q", "quit", "stop"):
            raise Stopped("stopped")
        return text

    def _heading(self, text: str) -> None:
        self._say("")
        self._say(f"> {text}")

    def _caution(self, *hazards: Hazard) -> None:
        for line in self._cautions.of(*hazards):
            self._say(f"  !  {line}")


def _reason(problem: ValidationError, text: str) -> str:
    """One line: what was typed, what was expected."""
    first = problem.errors()[0]
    context = first.get("ctx", {})
    if first["type"] == "value_error":
        return str(context["error"])
    if first["type"].startswith("string"):
        return f"{text[:40]!r} is no name, expected letters, digits, - and _, a letter first, at most 24"
    limit = next((f"{words} {context[key]:g}" for key, words in _LIMITS if key in context), first["msg"])
    return f"{text[:40]!r}: expected {limit}"


_LIMITS = (("gt", "more than"), ("ge", "at least"), ("le", "at most"), ("lt", "less than"))

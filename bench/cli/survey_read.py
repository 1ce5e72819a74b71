"""`turnproof survey JOB --read`: the readings as found, typed in the order of least risk and kept one by one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from bench.acceptance.cautions import Cautions, Hazard
from bench.cli.asking import Asking, Kept, Stopped
from bench.cli.survey_curve import ReadingCurve
from bench.cli.survey_windings import NamingWindings
from bench.job.as_found import FoundWinding
from bench.job.fields import Hertz, Kelvin, Ohms, TypedOhms, TypedVolts, Volts
from bench.job.winding import Role
from bench.quantities import Dimension, parse
from bench.sitting.found_readings import gate_lines
from bench.survey.gathered import lead_names, same_but_for_capitals
from bench.survey.plausible import (
    doubt_of_fed_volts,
    doubt_of_insulation,
    doubt_of_ohms,
    doubt_of_tester,
    doubt_of_volts,
)

if TYPE_CHECKING:
    from bench.cli.typed_lines import TypedLines
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["AsFoundReader", "Stopped"]

Keep = Callable[[str, dict[str, Any]], None]
"""Stores one thing under a kind (`as found`, `note`) as soon as it is typed."""


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
        self._asking = Asking(keyboard, say)
        self._say = say
        self._keep = keep
        self._known = known
        self._refuse_ohm = refuse_ohm
        self._meter = meter
        self._cautions = Cautions()
        self._tester_range: str | None = None

    def read_all(self) -> None:
        """From the windings to the exciting current; raises Stopped."""
        self._caution(Hazard.LOCAL_CODES)
        self._say("Type each reading with its unit and all the digits that the meter shows, such as 107.30 ohm.")
        self._say("Each is kept as soon as it is typed, and a later one replaces it. Enter leaves one out.")
        self._say("q ends, at any question; - at a reading withdraws the one that is kept there.")
        self.name_windings()
        self._insulation()
        self._resistances()
        if self._may_feed():
            self._fed()

    # -- with nothing fed --------------------------------------------------------------------------

    def name_windings(self) -> None:
        """The windings, where the job file names none; raises Stopped."""
        NamingWindings(self._asking, self._keep, self._known).settle()

    def _insulation(self) -> None:
        self._heading("Insulation, before anything is fed: each winding to all the rest and the core, joined")
        self._caution(Hazard.INSULATION_TESTER)
        test_volts = self._asking.value(
            "volts of the insulation tester (such as 500 V)", Volts, bare="V", doubt=doubt_of_tester
        )
        for one in self._own():
            ohms = self._asking.value(
                f"{one.name} to all the rest and the core (such as 85 Mohm; past the tester's range OL or > 2000 Mohm)",
                Ohms,
                clean=lambda text: text.lstrip("> "),
                doubt=lambda ohms: doubt_of_insulation(ohms, self._refuse_ohm),
                kept=partial(self._kept, "insulation", one.name),
                overload=self._past_the_tester,
            )
            if ohms is not None:
                told = {} if test_volts is None else {"test_voltage": test_volts}
                self._keep("as found", {"part": "insulation", "winding": one.name, "resistance": ohms, **told})

    def _past_the_tester(self) -> str | None:
        """An overload says that the insulation is better than the tester can tell: at least its range."""
        if self._tester_range is None:
            self._tester_range = self._asking.value(
                "  the tester's highest reading on this range (such as 2000 Mohm)", Ohms,
                doubt=lambda ohms: doubt_of_insulation(ohms, self._refuse_ohm),
            )  # fmt: skip
        if self._tester_range is None:
            self._say("  left out: without the tester's range OL is no reading")
        else:
            self._say(f"  taken as at least {self._tester_range}")
        return self._tester_range

    def _resistances(self) -> None:
        self._heading("Resistance of every winding; subtract what the leads read when held together")
        self._caution(Hazard.KICK)
        temperature = self._asking.value(
            "temperature of the copper: the room's, if it lay there for hours (such as 21 degC)", Kelvin
        )
        told = {} if temperature is None else {"temperature": temperature}
        for one in self._own():
            for name in lead_names(one):
                self._resistance(name, told)

    def _resistance(self, name: str, told: dict[str, str]) -> None:
        def is_open() -> None:
            kept = self._kept("resistance", name)
            if kept is not None:
                kept.withdraw()
            self._keep("note", {"text": "resistance as found: over range, open", "winding": name})

        found = self._known().gathered.found
        ohms = self._asking.value(
            f"{name} (such as 107.30 ohm; OL where the meter shows none)",
            TypedOhms,
            doubt=lambda ohms: doubt_of_ohms(found, name, ohms),
            kept=partial(self._kept, "resistance", name),
            overload=is_open,
        )
        if ohms is not None:
            body = {"part": "resistance", "winding": name, "resistance": ohms, **told, "meter": self._meter}
            self._keep("as found", body)

    # -- the gate before feeding -------------------------------------------------------------------

    def _may_feed(self) -> bool:
        """False where insulation is low or was not read, unless a reason is typed, which is kept."""
        lines = gate_lines(self._known(), self._refuse_ohm)
        if not lines:
            return True
        self._say("")
        for line in lines:
            self._say(line)
        if not self._asking.word_yes("Feed it all the same? (yes, the word; Enter = don't)"):
            return False
        reason = self._asking.reason("The reason, in words; it is recorded (Enter = don't feed)")
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
        frequency = self._asking.value("frequency of the supply (such as 50 Hz)", Hertz, bare="Hz")
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
            text = self._asking.text(f"{question} [{default}], or none")
            if text.lower() == "none":
                return None
            named = same_but_for_capitals(text or default, names)
            if named is not None:
                return named
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
        """Both are asked again where they don't fit each other: either may be the slip."""
        found = self._known().gathered.found
        while True:
            fed_volts = self._asking.value(
                f"{name}: volts on {fed} at the same moment",
                TypedVolts,
                bare="V",
                doubt=lambda volts: doubt_of_fed_volts(found, fed, volts),
                kept=partial(self._kept, "volts", fed, name),
            )
            if fed_volts is None:
                return
            volts = self._asking.value(f"{name}: its volts", TypedVolts, bare="V")
            if volts is None:
                return
            two = [parse(text, Dimension.VOLTAGE) for text in (fed_volts, volts)]
            why = doubt_of_volts(found, fed, two[0], name, two[1])
            if not why or self._asking.sure(why, f"{volts} of {name} at {fed_volts} on {fed}"):
                break
        body = {"part": "volts", "fed": fed, "fed_voltage": fed_volts, "winding": name, "voltage": volts}
        told = {} if frequency is None else {"frequency": frequency}
        self._keep("as found", {**body, **told, "meter": self._meter})

    def _exciting(self, fed: str, frequency: str | None) -> None:
        self._heading(f"Exciting current of {fed} at several volts, rising, nothing connected to the others")
        if frequency is None:
            prompt = "frequency of the supply (such as 50 Hz); without it no curve is taken"
            frequency = self._asking.value(prompt, Hertz, bare="Hz")
            if frequency is None:
                return
        self._say("Three points or more; end where the current grows much faster than the volts, or at full volts.")
        ReadingCurve(self._asking, self._keep, self._known, fed, frequency).read()

    # -- asking ------------------------------------------------------------------------------------

    def _own(self) -> tuple[FoundWinding, ...]:
        """The windings of the unit, without coils of one's own."""
        return tuple(one for one in self._known().gathered.found.winding if not one.search_coil)

    def _kept(self, part: str, *names: str) -> Kept | None:
        """The reading of that part and those windings that stands in the record."""
        body = self._known().gathered.bodies.get((part, *names))
        if body is None:
            return None
        keys = ("fed_voltage", "voltage") if part == "volts" else ("resistance",)
        words = " and ".join(str(body[key]) for key in keys)
        which = {key: body[key] for key in ("fed", "winding") if key in body}
        return Kept(words, lambda: self._keep("as found", {"part": part, **which, "withdrawn": words}))

    def _heading(self, text: str) -> None:
        self._say("")
        self._say(f"> {text}")

    def _caution(self, *hazards: Hazard) -> None:
        for line in self._cautions.of(*hazards):
            self._say(f"  !  {line}")

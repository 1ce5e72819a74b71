"""The cautions at the step: in full once a session for each hazard, then in one line."""

from __future__ import annotations

from enum import Enum

__all__ = ["Cautions", "Hazard"]


class Hazard(Enum):
    """What can hurt, with its cautions in full and in a line."""

    LOCAL_CODES = (
        (
            "Follow your local electrical code; mains work may be reserved to licensed people where you live.",
            "This tool says what was tested. It never says that anything complies or is safe.",
            "Do not work alone with mains. Feed the bench through a residual current device, and the unit under test "
            "through an isolating transformer if you have one: it protects against one touch, not against two.",
        ),
        "Local code first; never alone with mains.",
    )
    KICK = (
        (
            "A winding kicks with hundreds of volts when the ohmmeter's current is broken: hold the clips by their "
            "insulation and keep your fingers off the leads until the reading is over.",
        ),
        "Winding kicks when the ohmmeter is taken off: fingers on insulation only.",
    )
    INSULATION_TESTER = (
        (
            "The insulation tester puts 500 V or more on the windings, and they keep it: discharge for a minute "
            "before you touch anything.",
            "Take the meter's leads and every serial cable off the unit before the tester goes on.",
        ),
        "Meter and serial leads off; discharge for a minute afterwards.",
    )
    LOW_VOLTS = (
        (
            "Low volts are low only where they are put in: feed only the winding that is named, from an isolated "
            "source, and never a heater or other low-voltage winding.",
        ),
        "Feed only the winding named, from an isolated source.",
    )
    MAINS = (
        (
            "Mains kills. Every open end of every winding is live and must be covered before the volts come up.",
            "Core, band and screen earthed; unit on a surface that does not burn; start from zero on the variac.",
            "Volts to zero before any lead is moved, then unplug: a variac does not isolate.",
        ),
        "Mains: ends covered, core and screen earthed, volts to zero before leads are moved.",
    )
    HIGH_VOLTS = (
        ("This step puts more than 300 V between terminals of this unit: nobody's hands near it while it is live.",),
        "More than 300 V on this unit: hands off.",
    )
    AMMETER = (
        (
            "A meter in its amps socket is a short circuit across whatever it touches: change the socket with the "
            "supply off, and put the meter in series only. Largest amps range first.",
        ),
        "Lead into the amps socket; in series only.",
    )
    NO_AMMETER = (
        (
            "The meter was an ammeter: take its lead out of the amps socket and turn its dial before it touches "
            "anything, and put the wire back where it stood. Across volts it would be a short circuit in your hand.",
        ),
        "No longer an ammeter: lead out of the amps socket, the wire back where it stood.",
    )
    HIPOT = (
        (
            "A dielectric test kills: barrier round the bench, a second person who can switch off, both hands on the "
            "tester or in the pocket. Only a tester that limits its current and trips; never a transformer alone.",
            "Take off every meter, every serial cable and every earth that is not part of the test; unit on an "
            "insulating mat, everything that is not tested tied together and to the tester's earth.",
            "Volts up from zero in some ten seconds, down again, then discharge for a minute before you touch it.",
            "It wears insulation out: once in full, then at 80 % at most (from memory).",
        ),
        "Dielectric test: barrier, second person, meter and serial leads off, discharge afterwards.",
    )
    LOAD_HEAT = (
        (
            "Load resistors and the core get hot enough to burn skin and to light paper: on tiles or metal, with air "
            "round them, and some minutes of cooling before they are touched.",
        ),
        "Load resistors and core are hot.",
    )
    ATTENDED = (
        ("Stay by it: a unit on power is never left alone. Smoke, smell, a growing hum: switch off, stop the test.",),
        "Stay by it.",
    )
    EQUIPMENT = (
        (
            "Inside the equipment: unplug, then discharge every electrolytic capacitor through a resistor and check it "
            "with the meter. They hold hundreds of volts for long.",
            "Earth, leakage and insulation are read with a tester made for that, by its own book.",
        ),
        "Unplugged, capacitors discharged.",
    )
    LAMINATIONS = (
        ("Laminations cut: gloves that withstand a cut, and nothing in the hand that slips.",),
        "Laminations cut: gloves.",
    )
    VARNISH = (
        (
            "The fumes of varnish and thinner burn, explode and make ill: outdoors or under an extractor, no flame, no "
            "spark, no hot iron near. Read the can's own safety sheet first.",
            "Gloves that the solvent does not go through, and goggles. Rags with varnish can catch fire by themselves: "
            "spread them out to dry outdoors, never in a heap (from memory).",
            "Old units may hold asbestos paper, oil or pitch with PCB, and lead: do not scrape them and raise no dust "
            "(from memory).",
        ),
        "Fumes burn and make ill: air, no flame, gloves, eyes.",
    )
    OVEN = (
        (
            "No kitchen oven, and none with gas or an open element: the fumes catch fire in it. Let it drain and air "
            "until it hardly smells, then bake with the vent open and somebody by.",
            "Paper, cotton and wax, class A, and what nobody knows: not above about 90 °C, by a thermometer on the "
            "core. It stays hot for hours.",
        ),
        "No kitchen oven, no gas, no open element; paper, cotton and wax not above about 90 °C.",
    )


class Cautions:
    """Remembers which hazards were already told in full in this session."""

    def __init__(self) -> None:
        self._told: set[Hazard] = set()

    def again(self) -> tuple[str, ...]:
        """All that was told before, in full: somebody else may sit there now."""
        return tuple(line for hazard in Hazard if hazard in self._told for line in hazard.value[0])

    def of(self, *hazards: Hazard) -> tuple[str, ...]:
        """The lines to show now for these hazards."""
        lines: list[str] = []
        for hazard in hazards:
            full, short = hazard.value
            lines.extend(full if hazard not in self._told else (short,))
            self._told.add(hazard)
        return tuple(lines)

    def for_volts(self, hazard_volts: float, source: str) -> tuple[str, ...]:
        """Lines for the volts that a step puts on any terminal."""
        hazards = [Hazard.LOW_VOLTS if source == "low voltage" else Hazard.MAINS]
        if hazard_volts > 300:
            hazards.append(Hazard.HIGH_VOLTS)
        return self.of(*hazards)

"""Units of ours with readings as a careful person would take them, and slips put in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from bench.job.as_found import AsFound
from bench.job.bench_file import AccuracyText, MeterAccuracy
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.survey.evidence import evidence_of
from bench.survey.network import Network, observations_of
from bench.survey.survey import Survey, survey_of

RULES = load_table("limits", "survey")
TRUE = {"primary": 280.0, "ht": 1292.0, "rectifier": 13.0, "heater": 16.0}
BENCH_METER = MeterAccuracy(voltage_ac=AccuracyText(of_reading=0.002, counts=5))
HAND_HELD = MeterAccuracy()


@dataclass
class Unit:
    """counts: as somebody counted them, None for a winding that is still on;  reference: by what the fed volts were
    read too high;  fed_volts: on the primary, in truth;  drop: in its resistance."""

    true: dict[str, float] = field(default_factory=lambda: dict(TRUE))
    counts: dict[str, float | None] = field(default_factory=dict)
    reference: float = 1.0
    readings: dict[str, float] = field(default_factory=dict)
    fed_volts: float = 97.5
    drop: float = 0.004
    accuracy: MeterAccuracy = BENCH_METER
    more: dict[str, Any] = field(default_factory=dict)

    def found(self) -> AsFound:
        windings: list[dict[str, Any]] = []
        for name in self.true:
            counted = self.counts.get(name, self.true[name])
            winding: dict[str, Any] = {"name": name, "role": "primary" if name == "primary" else "secondary"}
            if counted is not None:
                winding["turns"] = float(counted)
            if name == "primary":
                winding["nameplate_voltage"] = "117 V"
            windings.append(winding)
        volts = []
        for name, turns in self.true.items():
            if name == "primary":
                continue
            true_volts = self.fed_volts * (1 - self.drop) * turns / self.true["primary"]
            shown = true_volts * self.readings.get(name, 1.0)
            volts.append(
                {
                    "fed": "primary",
                    "fed_voltage": _typed(self.fed_volts * self.reference),
                    "winding": name,
                    "voltage": _typed(shown),
                }
            )
        table = {"fed": "primary", "frequency": "50 Hz", "winding": windings, "volts": volts, **self.more}
        return AsFound.model_validate(table)

    def network(self) -> Network:
        evidence = evidence_of(self.found(), RULES, lambda _: self.accuracy)
        observed = observations_of(evidence, RULES["drop"]["fraction"], RULES["drop"]["u"])
        return Network(observed, list(self.true))

    def survey(self, **job: Any) -> Survey:
        return self.survey_of(self.found(), **job)

    def survey_of(self, found: AsFound, **job: Any) -> Survey:
        return survey_of(a_job(**job), found, evidence_of(found, RULES, lambda _: self.accuracy), RULES)


def _typed(volts: float) -> str:
    """As a meter of 50 000 counts shows it."""
    places = 4 if volts < 5 else 3 if volts < 50 else 2 if volts < 500 else 1
    return f"{volts:.{places}f} V"


def a_job(**more: Any) -> Job:
    table = {
        "schema": 1,
        "identity": {"number": "S-1"},
        "core": {"lamination": "EI 96", "stack": "45 mm", "steel": "m400-50a"},
        "made_for": {"voltage": "117 V", "frequency": "60 Hz"},
        "supply": {"voltage": "230 V", "frequency": "50 Hz"},
        **more,
    }
    return Job.model_validate(table)

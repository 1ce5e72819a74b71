"""Checks when a winding ends, while it can still be unwound: its ohms, and its volts on a few laminations."""

from __future__ import annotations

import itertools
import math
import time
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bench.cli.asking import Asking, Stopped
from bench.sitting.winding_record import WindingRecord
from bench.winding.check_values import Conclusion, Counted, worst

if TYPE_CHECKING:
    from collections.abc import Callable

    from bench.design.plan import PlannedWinding, WindingPlan
    from bench.job.bench_file import BenchFile, MeterEntry
    from drivers.reading import Quantity, Reading

__all__ = ["EndChecks"]

_20C = 293.15
_OPEN = "open"
_NEAR = 0.005
"""Part of its turns by which a winding may differ from the job for the volts that its trial allows to hold."""
_ROOM_WITHIN = 3.0
"""Kelvin by which copper fresh from the reel may differ from the room (common practice, no source)."""


class EndChecks:
    """Asks for readings, judges them, keeps both; every question may be left out with Enter."""

    def __init__(
        self,
        record: WindingRecord,
        plan: WindingPlan,
        bench: BenchFile,
        meter: MeterEntry,
        rules: dict[str, Any],
        asking: Asking,
        say: Callable[[str], None],
        *,
        leads_zeroed: bool = False,
    ) -> None:
        self._leads_zeroed = leads_zeroed
        self._kept = False
        self._lead: Reading | None = None
        self._record, self._plan, self._bench, self._meter, self._rules = record, plan, bench, meter, rules
        self._asking, self._say = asking, say

    def run(self, batch: str = "") -> tuple[Conclusion, ...]:
        """All of them; the conclusions of those that were done.  batch: of the reel, where it is known."""
        name = self._record.winding
        found = []
        try:
            self._say(f"{name}: before it is buried. Enter leaves a reading out, q ends.")
            conclusion = self._ohms(batch)
            if conclusion is not None:
                found.append(conclusion)
            conclusion = self._volts()
            if conclusion is not None:
                found.append(conclusion)
        except Stopped as stopped:
            self._say(f"{stopped}; what was read is kept")
        return tuple(found)

    def _ohms(self, batch: str) -> Conclusion | None:
        from bench.acceptance.cautions import Hazard
        from bench.job.fields import Kelvin, Ohms
        from bench.quantities import Dimension, parse
        from bench.winding.check_words import ohms_lines
        from bench.winding.finding_out import ohms_at
        from bench.winding.resistance_check import Leads, check_resistance, from_body, ohms_read
        from drivers.reading import Quantity

        planned = self._plan.winding(self._record.winding)
        self._say(f"  ! {Hazard.KICK.value[1]}")
        counted = self._counted(planned.name)
        due = f"{ohms_at(planned, counted.turns):.4g} ohm at 20 °C for {counted.turns:g} turns by the sheet"
        strands = self._strands(planned, counted)
        if strands is not None:
            self._say("  now join starts with starts, finishes with finishes")
        typed = self._asking.value(f"  ohms of {planned.name} ({due})", Ohms, bare="ohm", overload=lambda: _OPEN)
        if typed is None:
            return strands
        if typed == _OPEN:
            self._keep({"check": "ohms", "winding": planned.name, "state": "open"})
            self._say("  open: the wire is broken, or an end is not bare. It is not to be buried like this.")
            return Conclusion.DISAGREES
        if self._meter.lead_resistance is None and not self._leads_zeroed and self._lead is None:
            self._ask_for_leads()
        celsius = self._asking.value("  temperature of the copper [20 °C]", Kelvin, bare="degC")
        temperature = _20C if celsius is None else parse(celsius, Dimension.TEMPERATURE)
        reading = self._reading(typed, Dimension.RESISTANCE, Quantity.RESISTANCE)
        leads = Leads.TAKEN_OFF if self._leads_zeroed else Leads.STILL_IN
        read = ohms_read(reading, leads, temperature, _ROOM_WITHIN, self._lead_reading())
        earlier = [reference for body in self._checks() if (reference := from_body(body)) is not None]
        layers = self._layers()
        answer = check_resistance(
            planned, read, counted, self._rules["assembly"], layers=layers, batch=batch,
            earlier=earlier,
        )  # fmt: skip
        self._keep(answer.as_body())
        if leads is Leads.STILL_IN:
            taken = read.ohms.value - read.net.value
            self._say(
                f"  {taken:.2g} ohm taken off for the leads; `lead_resistance` of the meter in the bench file says it"
            )
        for line in ohms_lines(answer):
            self._say(f"  {line}")
        return worst((answer.conclusion,) if strands is None else (answer.conclusion, strands))

    def _ask_for_leads(self) -> None:
        """The leads of a hand-held meter have as many ohms as a heater winding."""
        from bench.job.fields import Ohms
        from bench.quantities import Dimension
        from drivers.reading import Quantity

        typed = self._asking.value("  ohms with both clips on one wire [0.35 ohm is taken]", Ohms, bare="ohm")
        if typed is not None:
            self._lead = self._reading(typed, Dimension.RESISTANCE, Quantity.RESISTANCE)

    def _strands(self, planned: PlannedWinding, counted: Counted) -> Conclusion | None:
        """Of two and more in hand each by itself, before they are joined."""
        from bench.estimate import Estimate
        from bench.job.fields import Ohms
        from bench.quantities import Dimension
        from bench.winding.check_words import strands_lines
        from bench.winding.resistance_check import Leads, OhmsRead
        from bench.winding.strands_check import check_strands
        from drivers.reading import Quantity

        found: list[Estimate] = []
        if planned.winding.strands > 1 and self._meter.lead_resistance is None and not self._leads_zeroed:
            self._ask_for_leads()
        for number in range(1, planned.winding.strands + 1 if planned.winding.strands > 1 else 1):
            typed = self._asking.value(f"  ohms of strand {number}, not joined yet", Ohms, bare="ohm")
            if typed is None:
                return None
            found.append(Estimate.of(self._reading(typed, Dimension.RESISTANCE, Quantity.RESISTANCE)))
        if not found:
            return None
        lead_reading = self._lead_reading()
        lead_ohms = None if lead_reading is None else Estimate.of(lead_reading)
        leads = Leads.TAKEN_OFF if self._leads_zeroed else Leads.STILL_IN
        net = [OhmsRead(one, leads, _20C, _ROOM_WITHIN, lead_ohms).net for one in found]
        try:
            answer = check_strands(planned, net, counted)
        except ValueError as problem:
            self._say(f"  {problem}")
            return None
        self._keep(answer.as_body())
        for line in strands_lines(answer):
            self._say(f"  {line}")
        return answer.conclusion

    def _lead_reading(self) -> Reading | None:
        from drivers.reading import Quantity

        if self._lead is not None:
            return self._lead
        ohms = self._meter.lead_resistance
        if ohms is None or self._leads_zeroed:
            return None
        return self._typed(ohms, 0.01, Quantity.RESISTANCE, f"{ohms:g} ohm")

    def _volts(self) -> Conclusion | None:
        from bench.design.trial_ratio import trials
        from bench.estimate import Estimate
        from bench.job.fields import Volts
        from bench.quantities import Dimension
        from bench.winding.check_words import volts_lines
        from bench.winding.ratio_check import TrialVolts, check_ratio
        from bench.winding.trial_limits import TooManyVolts, cautions, over_the_limit
        from drivers.reading import Quantity

        number = [one.name for one in self._plan.windings].index(self._record.winding)
        trial = trials(self._plan, self._rules)[number]
        for laid in self._plan.windings[: number + 1]:
            counted = self._counted(laid.name).turns
            if abs(counted - (laid.winding.turns or 0)) > max(0.5, _NEAR * counted):
                what = f"{laid.name} has {counted:g} turns and not the {laid.winding.turns} of the job"
                self._say(f"  no volts on a few laminations: {what}, and the volts allowed are for those")
                return None
        if not self._asking.yes(
            f"  volts on a few laminations, {trial.fed} fed with at most {trial.volts:g} V? [y/N] ", default=False
        ):
            return None
        for line in cautions(trial):
            self._say(f"  ! {line}")
        fed = self._asking.value(f"  volts on {trial.fed}", Volts, bare="V")
        if fed is None:
            return None
        fed_reading = self._reading(fed, Dimension.VOLTAGE, Quantity.VOLTAGE_AC)
        values: dict[str, Estimate] = {}
        too_many = over_the_limit(self._plan, trial, fed_reading.value or 0.0, {})
        for one in trial.readings:
            if too_many is not None:
                break
            typed = self._asking.value(f"  volts on {one.of} (about {one.per_volt * (fed_reading.value or 0):.4g} V)",
                                       Volts, bare="V")  # fmt: skip
            if typed is None:
                continue
            values[one.of] = Estimate.of(self._reading(typed, Dimension.VOLTAGE, Quantity.VOLTAGE_AC))
            read = {name: estimate.value for name, estimate in values.items()}
            too_many = over_the_limit(self._plan, trial, fed_reading.value or 0.0, read)
        if too_many is not None:
            self._say(f"  ! {too_many}")
            return None
        self._say("  volts to zero, then unplug, before a lead is moved")
        if not values:
            return None
        counts = {one.name: self._counted(one.name) for one in self._plan.windings[: number + 1]}
        try:
            answer = check_ratio(self._plan, trial, TrialVolts(Estimate.of(fed_reading), values), counts)
        except (TooManyVolts, ValueError) as problem:
            self._say(f"  {problem}")
            return None
        self._keep(answer.as_body())
        for line in volts_lines(answer):
            self._say(f"  {line}")
        return answer.conclusion

    def _counted(self, winding: str) -> Counted:
        """By the record, as it was finished last; by the job where it never was."""
        done = [
            one.body
            for one in self._record.store.landmarks(self._record.number)
            if one.kind == "winding done" and one.body.get("winding") == winding
        ]
        if not done:
            return Counted.exactly(float(self._plan.winding(winding).winding.turns or 0))
        low, high = done[-1].get("low"), done[-1].get("high")
        return Counted(
            float(done[-1]["turns"]),
            -math.inf if low is None else float(low),
            math.inf if high is None else float(high),
        )

    def _layers(self) -> tuple[float, ...]:
        """Turns of each layer as they were on the machine, where a person said where each ended."""
        state_ends = [
            one.body.get("layer_ends", [])
            for one in self._record.store.landmarks(self._record.number)
            if one.kind == "winding done" and one.body.get("winding") == self._record.winding
        ]
        ends = state_ends[-1] if state_ends else []
        planned = self._plan.winding(self._record.winding)
        if len(ends) < len(planned.layers) - 1:
            return ()
        total = self._counted(self._record.winding).turns
        marks = [0.0, *(float(end) for end in ends if float(end) < total), total]
        return tuple(after - before for before, after in itertools.pairwise(marks))

    def _keep(self, body: dict[str, Any]) -> None:
        """What was found, behind the meter that it was read with and the limits that it is judged by."""
        from bench.records.instrument_entry import keep_hand_meter
        from bench.records.kept_profiles import keep_tables

        if not self._kept:
            self._kept = True
            keep_tables(self._record.store, self._record.number, [("limits", "small-mains")])
            keep_hand_meter(self._record.store, self._record.number, self._meter, "winding")
        self._record.keep("winding check", body)

    def _checks(self) -> list[dict[str, Any]]:
        return [one.body for one in self._record.store.landmarks(self._record.number) if one.kind == "winding check"]

    def _reading(self, typed: str, dimension: Any, quantity: Quantity) -> Reading:
        from bench.quantities import parse_typed

        one = parse_typed(typed, dimension)
        return self._typed(one.value, one.resolution, quantity, typed)

    def _typed(self, value: float, resolution: float, quantity: Quantity, raw: str) -> Reading:
        from bench.sitting.opening import hand_accuracies
        from drivers.hand import typed_reading

        return typed_reading(
            value,
            resolution,
            quantity,
            hand_accuracies(self._meter)[quantity],
            instrument=self._meter.name,
            at=datetime.now(UTC),
            monotonic=time.monotonic(),
            raw=raw,
        )

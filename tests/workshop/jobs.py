"""Jobs, plans and winders for the tests of the workshop."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from bench.design.plan import WindingPlan, plan_of
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.workshop.winder import Winder, load_winder

RECEIVER = plan_of(read_job(example_job("coastal-receiver")))
OPENER = plan_of(read_job(example_job("gate-opener")))
GENERIC = load_winder("generic")


def winder(**changes: dict[str, Any]) -> Winder:
    """The generic winder with other values, a table for each section."""
    table = GENERIC.model_dump(by_alias=True)
    for section, values in changes.items():
        table[section] = {**table[section], **values}
    return Winder.model_validate(table)


@st.composite
def winders(draw: st.DrawFn) -> Winder:
    axis, per_turn, units = draw(st.sampled_from([("A", 360.0, "mm"), ("B", 360.0, "inch"), ("Y", 1.0, "mm")]))
    # In inches the language's interpreter is not slow enough for fine wire: that is refused, in a test of its own.
    fast = draw(st.floats(250 if units == "inch" else 20, 1500))
    return winder(
        spindle={
            "axis": axis,
            "units_per_turn": per_turn,
            "clockwise": draw(st.sampled_from("+-")),
            "turns_per_minute": fast,
            "slow_turns_per_minute": fast * draw(st.floats(0.1, 1.0)),
            "slow_turns": draw(st.integers(0, 8)),
        },
        traverse={
            "axis": draw(st.sampled_from("XZ")),
            "units": units,
            "most_mm_per_minute": draw(st.floats(20, 2000)),
            "backlash_mm": draw(st.sampled_from([0.0, 0.05, 0.4])),
            "settle_s": draw(st.sampled_from([0.0, 0.5])),
        },
        program={
            "longest_line": draw(st.integers(55, 256)),
            "line_numbers": draw(st.booleans()),
            "decimals": draw(st.integers(4, 5)),
        },
    )


@st.composite
def plans(draw: st.DrawFn) -> WindingPlan:
    """Plans of one to three windings with taps, strands and screens; they may be higher than the window is wide."""
    windings, screens = [], []
    for number in range(draw(st.integers(1, 3))):
        turns = draw(st.integers(1, 1500))
        wire = draw(st.sampled_from(["0.10 mm", "0.25 mm", "0.40 mm", "0.71 mm"]))
        taps = draw(st.sets(st.integers(1, max(1, turns - 1)), max_size=3)) if turns > 1 else set()
        table = {
            "name": f"w{number}",
            "role": "secondary",
            "turns": turns,
            "wire": wire,
            "strands": draw(st.integers(1, 3)),
            "sense": draw(st.sampled_from(["clockwise", "counter-clockwise"])),
            "start": {"tag": str(number), "colour": draw(st.sampled_from(["", "grün (hell)", "red; 100 %"]))},
            "taps": [{"name": f"t{turn}", "turn": turn} for turn in sorted(taps)],
        }
        windings.append(table)
        if draw(st.booleans()):
            screens.append({"name": f"s{number}", "after": f"w{number}"})
    insulation: dict[str, str] = {"margin": draw(st.sampled_from(["1 mm", "3.17 mm"]))}
    if draw(st.booleans()):
        insulation["between_layers"] = "0.05 mm"
    return plan_of(
        Job.model_validate(
            {
                "schema": 1,
                "identity": {"number": "X-1"},
                "core": {"lamination": draw(st.sampled_from(["EI 66", "EI 96"])), "stack": "35 mm"},
                "insulation": insulation,
                "winding": windings,
                "screen": screens,
            }
        )
    )

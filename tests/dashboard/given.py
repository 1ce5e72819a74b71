"""News of an invented job, and the snapshots that follow from it."""

from __future__ import annotations

import functools
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from bench.acceptance.context import PlannedStep
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Connect, Excite
from bench.acceptance.result import Finding, NotDone, StepResult, TestResult
from bench.dashboard import news as told
from bench.dashboard.state import Snapshot, advance
from bench.job.expectation import ExcitingCurve
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.winding.progress import Progress, progress_of
from drivers.counter import LinkWentAway
from drivers.counting import Bounded, Bridged, Count
from drivers.reading import Component, Quantity, Reading, State

__all__ = ["NOW", "a_whole_test", "after", "curve", "heater_off", "job", "plan", "progress", "reading", "step"]

NOW = 1000.0
_SPANS = ("ht.centre", "ht.finish", "rectifier", "heater")


@functools.cache
def job() -> Job:
    return read_job(example_job("coastal-receiver"))


def progress(turns: float, *, low: float | None = None, high: float | None = None, speed: float = 7.0) -> Progress:
    """The count of the primary, 662 turns in layers of 88."""
    winding = job().get_winding("primary")
    count = Count(turns, turns if low is None else low, turns if high is None else high, speed, NOW)
    return progress_of(winding, 662, count)


def step(
    name: str,
    measured: float | None = 100.0,
    verdict: Verdict = Verdict.ACCEPTED,
    *,
    expected: float | None = 100.0,
    lower: float | None = 90.0,
    upper: float | None = 110.0,
    u: float = 1.0,
    unit: str = "V",
    at_volts: float | None = None,
) -> StepResult:
    """A step of 100 V, 90 V to 110 V, unless said otherwise."""
    kind, _, winding = name.partition(":")
    return StepResult(
        id=name,
        label=f"{kind.replace('_', ' ')} of {winding}",
        quantity="voltage_ac",
        winding=winding,
        measured=measured,
        state=State.GOOD if measured is not None else State.OVERLOAD,
        unit=unit,
        verdict=verdict,
        expected=expected,
        lower=lower,
        upper=upper,
        u=u,
        at_volts=at_volts,
    )


def plan() -> tuple[PlannedStep, ...]:
    """Steps like those of a real test."""
    names = ["stack_height", "resistance:primary", *(f"resistance:{span}" for span in _SPANS)]
    names += [f"insulation:{winding}" for winding in ("primary", "ht", "rectifier", "heater")]
    names += ["frequency", "ratio:ht", *(f"ratio:{span}" for span in _SPANS)]
    names += ["polarity:ht", "polarity:rectifier", "polarity:heater"]
    names += ["first_power", *(f"exciting:{share}" for share in (50, 75, 100, 110)), "core_watts"]
    names += ["open_circuit:ht", *(f"open_circuit:{span}" for span in _SPANS)]
    return tuple(PlannedStep(name, name.replace("_", " ").replace(":", " of "), True) for name in names)


def curve() -> ExcitingCurve:
    volts = np.array([50.0, 115.0, 172.0, 230.0, 253.0, 280.0])
    amps = np.array([0.012, 0.024, 0.033, 0.044, 0.054, 0.085])
    return ExcitingCurve(volts, amps, np.full(6, 0.19), amps * 30, np.full(6, 0.2))


def reading(value: float | None = 6.591) -> Reading:
    return Reading(
        Quantity.VOLTAGE_AC,
        value,
        State.OVERLOAD if value is None else State.GOOD,
        "scpi@/dev/ttyUSB0",
        datetime(2026, 3, 1, tzinfo=UTC),
        NOW,
        components=(Component("gain", 0.003),),
    )


def after(*news: told.News, start: Snapshot | None = None, at: float = NOW) -> Snapshot:
    """The snapshot after these pieces of news."""
    state = start or Snapshot()
    for each in news:
        state = advance(state, each, at)
    return state


BEGUN = (told.WindingBegun(job(), "primary"), told.InstrumentOpened("counter", "hall@/dev/ttyACM0: open"))
TESTING = (
    *BEGUN,
    told.Progressed(progress(662.0, speed=0.0)),
    told.InstrumentOpened("meter", "Example,BENCH METER,0417,1.2: open"),
    told.TestBegun(job(), plan(), curve(), 230.0),
)
TAKING = told.Taking("ratio:ht", Quantity.VOLTAGE_AC)
LONG_CAUTIONS = (
    "Mains kills. Every open end of every winding is live and must be covered before the volts come up.",
    "Core, band and screen earthed; unit on a surface that does not burn; start from zero on the variac.",
    "Volts to zero before any lead is moved, then unplug: a variac does not isolate.",
    "This step puts more than 300 V between terminals of this unit: nobody's hands near it while it is live.",
)
FEED = Excite(
    step="exciting:75",
    winding="primary",
    from_terminal="primary.start",
    to_terminal="primary.finish",
    volts=172.5,
    hertz=50.0,
    source="variac",
    hazard=405.0,
    cautions=LONG_CAUTIONS,
)
CONNECT = Connect(
    step="polarity:heater",
    quantity=Quantity.VOLTAGE_AC,
    from_terminal="primary.start",
    to_terminal="heater.start",
    winding="heater",
    links=(("primary.finish", "heater.finish"),),
    text="Join primary.finish and heater.finish; voltmeter between the two starts.",
)
CONFIRM = Confirm("start", "Unit unplugged, discharged, nothing connected to any winding.", LONG_CAUTIONS)


def a_whole_test(
    verdict: Verdict, steps: tuple[StepResult, ...] = (), findings: tuple[Finding, ...] = ()
) -> TestResult:
    """A test of the whole plan; `steps` replace those of the same id."""
    other = {each.id: each for each in steps}
    whole = tuple(other.get(each.id, _good(each.id)) for each in plan())
    return TestResult(verdict, whole, findings)


def _good(name: str) -> StepResult:
    volts = {"exciting:50": 115.0, "exciting:75": 172.5, "exciting:100": 230.0, "exciting:110": 253.0}.get(name)
    if volts is None:
        return step(name)
    amps = curve().current_at(volts)
    return step(name, amps, expected=amps, lower=None, upper=amps * 1.46, u=amps / 200, unit="A", at_volts=volts)


def finding(sentence_of: str, probability: float) -> Finding:
    return Finding(
        "turns_wrong",
        sentence_of,
        "+2 turns",
        probability,
        tuple(f"open-circuit volts of {sentence_of}, reading {number}: 7.285 V, design 6.592" for number in range(4)),
        "series sum against a winding of nearly the same turns, or a search coil of a few turns as the reference",
        "outermost winding: take the surplus off or thread the missing turns through the window; inner one: decide by "
        "the volts whether it can stay",
    )


def heater_off() -> TestResult:
    """Two turns too many on the heater."""
    wrong = tuple(
        step(name, 119.0, Verdict.REJECTED) for name in ("resistance:heater", "ratio:heater", "open_circuit:heater")
    )
    return a_whole_test(Verdict.REJECTED, wrong, (finding("heater", 0.92), finding("rectifier", 0.05)))


def stopped() -> TestResult:
    """Low insulation: nothing was done on mains."""
    whole = a_whole_test(Verdict.REJECTED, (step("insulation:ht", 0.5, Verdict.REJECTED, lower=100.0, upper=None),))
    done = tuple(each for each in whole.steps if not each.id.startswith(("exciting", "open_circuit", "core", "first")))
    left_out = tuple(
        NotDone(each.id, "not started: insulation of ht is low", True) for each in whole.steps if each not in done
    )
    return replace(whole, steps=done, not_done=left_out)


STATES = {
    "nothing yet": after(),
    "winding": after(*BEGUN, told.Progressed(progress(411.4))),
    "backwards": after(*BEGUN, told.Progressed(progress(411.4, speed=-1.0))),
    "unsure": after(
        *BEGUN,
        told.CountEvent(Bounded(655.0, 664.5, "the board began again and turns may have gone by unseen", NOW)),
        told.Progressed(progress(660.0, low=655.0, high=664.5)),
    ),
    "nearly there": after(*BEGUN, told.Progressed(progress(654.4))),
    "past": after(*BEGUN, told.Progressed(progress(666.1))),
    "line lost": after(
        *BEGUN,
        told.Progressed(progress(264.9)),
        told.CountEvent(Bridged(2, "the board's own count went on", NOW)),
        told.CountEvent(LinkWentAway("/dev/ttyACM0: the line went away", NOW)),
    ),
    "first caution": after(*TESTING, told.Asked(CONFIRM)),
    "links": after(*TESTING, told.Asked(CONNECT), TAKING, told.ReadingTaken("polarity:heater", reading())),
    "live": after(*TESTING, told.Asked(FEED), TAKING, told.ReadingTaken("exciting:75", reading(227.4))),
    "rejected": after(*TESTING, told.Finished(heater_off())),
    "stopped": after(*TESTING, told.Finished(stopped())),
    "accepted": after(*TESTING, told.Finished(a_whole_test(Verdict.ACCEPTED))),
    "trouble": after(
        *TESTING,
        told.Finished(a_whole_test(Verdict.TROUBLE, (step("frequency", 47.0, Verdict.TROUBLE),))),
    ),
}

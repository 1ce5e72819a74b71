"""What can reach the dashboard, one frozen value for each thing that an observer is told."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bench.acceptance.ask import ReplyKind
from bench.acceptance.context import PlannedStep
from bench.acceptance.requests import OperatorRequest
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.suspicion import Suspicion
from bench.job.expectation import ExcitingCurve
from bench.job.model import Job
from bench.survey.interval import Interval
from bench.survey.stripping import Stripping
from bench.winding.layers import LayerCount
from bench.winding.progress import Progress
from bench.winding.sides import WindingResult
from bench.winding.state import WindingState
from drivers.reading import Quantity, Reading

__all__ = [
    "Answered",
    "Asked",
    "Awaits",
    "CameOff",
    "CountEvent",
    "Finished",
    "HandCount",
    "InstrumentOpened",
    "InstrumentSaid",
    "InstrumentsChosen",
    "JobOpened",
    "News",
    "Progressed",
    "ReadingTaken",
    "Reckoned",
    "Said",
    "Settling",
    "StepDone",
    "Suspected",
    "Taking",
    "TestBegun",
    "WindingBegun",
    "WindingOver",
    "WindingsStand",
    "WorkBegun",
    "WorkEnded",
    "ZeroConfirmed",
]


@dataclass(frozen=True)
class WindingBegun:
    """A winding of this job is about to be counted."""

    job: Job
    winding: str


@dataclass(frozen=True)
class Progressed:
    """The count moved, or was said again."""

    progress: Progress


@dataclass(frozen=True)
class CountEvent:
    """Something happened to the count or to the counter's line: one of the values of `drivers.counter`."""

    event: Any


@dataclass(frozen=True)
class InstrumentsChosen:
    """These will be opened.  name: `counter` or `meter`;  uses: role and PROFILE@PORT of each, the role empty for the
    one that has none."""

    name: str
    uses: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class InstrumentOpened:
    """An instrument answered; `said` is the identity of a meter or the address of a counter.  role: of a meter among
    several;  address: PROFILE@PORT, where `said` is something else."""

    name: str
    said: str
    role: str = ""
    address: str = ""


@dataclass(frozen=True)
class InstrumentSaid:
    """An instrument that is open said who it is."""

    name: str
    identity: str


@dataclass(frozen=True)
class TestBegun:
    """A test of this job with these steps; curve: what the fed winding should draw, nominal [V];  at_once: volts and
    amps have a meter each."""

    __test__ = False

    job: Job
    plan: tuple[PlannedStep, ...]
    curve: ExcitingCurve | None
    nominal: float
    at_once: bool = False


@dataclass(frozen=True)
class Asked:
    """The operator is asked for this now."""

    request: OperatorRequest


@dataclass(frozen=True)
class Taking:
    """The instrument settles for a reading of this step, and of this quantity."""

    step: str
    quantity: Quantity | None = None


@dataclass(frozen=True)
class Settling:
    """The instrument shows this just now, not to be kept; `stands` says how it stands.

    value [SI], None for overload or none;  u: standard uncertainty of the meter there, None where nobody says.
    """

    shown: str
    stands: str
    value: float | None = field(default=None, compare=False)
    u: float | None = field(default=None, compare=False)
    unit: str = field(default="", compare=False)


@dataclass(frozen=True)
class ReadingTaken:
    """The instrument gave this reading for this step."""

    step: str
    reading: Reading


@dataclass(frozen=True)
class StepDone:
    """A step has its verdict."""

    result: StepResult


@dataclass(frozen=True)
class Suspected:
    """The readings so far speak for these faults, most probable first."""

    suspicions: tuple[Suspicion, ...]


@dataclass(frozen=True)
class Finished:
    """The test is over."""

    result: TestResult


@dataclass(frozen=True)
class JobOpened:
    """The job at `path` was read, or read anew after it changed; text: its file's."""

    path: Path
    job: Job
    text: str


@dataclass(frozen=True)
class WorkBegun:
    """A thread works at the bench now: `winding`, `test`, `restack`."""

    doing: str


@dataclass(frozen=True)
class WorkEnded:
    """It is over; problem: why, in a line, where it did not come to its own end."""

    doing: str
    problem: str = ""


@dataclass(frozen=True)
class WindingsStand:
    """Where each winding of the job stands by the record."""

    states: tuple[WindingState, ...]


@dataclass(frozen=True)
class WindingOver:
    """A winding came to its end, or was left to go on later."""

    result: WindingResult


@dataclass(frozen=True)
class HandCount:
    """Of a winding that is counted by hand: what was typed so far."""

    count: LayerCount


@dataclass(frozen=True)
class CameOff:
    """How much of a winding is off;  expected: turns, None where nothing tells;  speed [turns/s], None where it was
    typed;  counter: empty where it is typed."""

    state: Stripping
    expected: Interval | None
    speed: float | None
    counter: str = ""


@dataclass(frozen=True)
class Awaits:
    """The operator's answer to a request is waited for; number: of the asking, which the answer names;  problem: what
    was wrong with the last answer;  keyless: the meter sees for itself when it is done."""

    number: int
    request: OperatorRequest
    keyless: bool = False


@dataclass(frozen=True)
class Answered:
    """It was answered; kind: by what."""

    number: int
    kind: ReplyKind = ReplyKind.DONE


@dataclass(frozen=True)
class ZeroConfirmed:
    """A person says, after the work is over, that the volts are at zero and the unit is unplugged."""


@dataclass(frozen=True)
class Said:
    """A line for the person at the bench; grave: it must be seen."""

    words: str
    grave: bool = False


@dataclass(frozen=True)
class Reckoned:
    """What was reckoned beside the window under a name; problem: why there is nothing."""

    name: str
    value: Any
    problem: str = ""


News = (
    WindingBegun
    | Progressed
    | CountEvent
    | InstrumentsChosen
    | InstrumentOpened
    | InstrumentSaid
    | TestBegun
    | Asked
    | Taking
    | Settling
    | ReadingTaken
    | StepDone
    | Suspected
    | Finished
    | JobOpened
    | WorkBegun
    | WorkEnded
    | WindingsStand
    | WindingOver
    | HandCount
    | CameOff
    | Awaits
    | Answered
    | ZeroConfirmed
    | Said
    | Reckoned
)

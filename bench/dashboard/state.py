"""What the dashboard knows: a frozen snapshot, and how each piece of news makes the next one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from bench.acceptance.ask import ReplyKind
from bench.acceptance.context import PlannedStep
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Excite, OperatorRequest
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.suspicion import Suspicion
from bench.dashboard import instruments_after as after
from bench.dashboard import news as told
from bench.dashboard.acceptance.asking import Card, card_of, live_text
from bench.dashboard.acceptance.diagram.rig import Rig
from bench.dashboard.acceptance.live import Glance, Taken, with_glance
from bench.dashboard.instruments import COUNTER, METER, Health, InstrumentState, board_text
from bench.job.expectation import ExcitingCurve
from bench.job.model import Job
from bench.job.winding import Winding
from bench.winding.happenings import Happening, happening_of
from bench.winding.layers import LayerCount
from bench.winding.progress import Progress
from bench.winding.sides import WindingResult
from bench.winding.state import WindingState
from drivers.reading import Reading

__all__ = ["TEST_STANDS", "Snapshot", "Stage", "advance", "only_counted_on"]

TEST_STANDS = "test stands"
"""Under which name it is reckoned."""
_KEPT_HAPPENINGS = 4
_KEPT_SAID = 20
_BARE = Rig()


class Stage(StrEnum):
    """Where the job stands."""

    WAITING = "waiting"
    WINDING = "winding"
    TESTING = "test"
    ENDED = "verdict"


# eq=False: a snapshot is compared by identity; it holds arrays, which have no single truth value.
@dataclass(frozen=True, eq=False)
class Snapshot:
    """Everything that is drawn.

    nominal [V];  live: what is live, in words, empty while no volts are on;  path, text: of the job's file;  doing:
    what works at the bench now, empty for nothing;  awaiting: what a person is asked for;  fed: volts that can hurt,
    until somebody says that they are at zero;  glances: what the meter showed these last seconds;  stands: how the
    newest stands;  taken: the last reading that was kept;  rig: what is joined to the unit;  windings: each as the
    record has it;  wound: how the last go ended;  hand_count: of a winding whose turns are typed;  coming_off: of the
    unit as found;  said: lines for the person, newest first;  reckoned: by name.
    """

    stage: Stage = Stage.WAITING
    job: Job | None = None
    winding: Winding | None = None
    progress: Progress | None = None
    happenings: tuple[Happening, ...] = ()
    counter: InstrumentState = COUNTER
    meters: tuple[InstrumentState, ...] = (METER,)
    plan: tuple[PlannedStep, ...] = ()
    curve: ExcitingCurve | None = None
    nominal: float = 0.0
    card: Card | None = None
    step: str = ""
    live: str = ""
    live_cautions: tuple[str, ...] = ()
    reading: Reading | None = None
    settling: str = ""
    stands: str = ""
    glances: tuple[Glance, ...] = ()
    taken: Taken | None = None
    rig: Rig = _BARE
    results: tuple[StepResult, ...] = ()
    suspicions: tuple[Suspicion, ...] = ()
    verdict: TestResult | None = None
    path: Path | None = None
    text: str = ""
    doing: str = ""
    awaiting: told.Awaits | None = None
    fed: Excite | None = None
    awaiting_since: float = 0.0
    windings: tuple[WindingState, ...] = ()
    wound: WindingResult | None = None
    hand_count: LayerCount | None = None
    coming_off: told.CameOff | None = None
    said: tuple[told.Said, ...] = ()
    reckoned: Mapping[str, told.Reckoned] = field(default_factory=dict)

    @property
    def meter(self) -> InstrumentState:
        """The one that spoke last, or the first."""
        return max(self.meters, key=lambda one: -1.0 if one.heard_at is None else one.heard_at)

    @property
    def label(self) -> str:
        """The current step in words."""
        return next((step.label for step in self.plan if step.id == self.step), self.step.replace("_", " "))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can hurt now: the card's cautions, then those of what is still live."""
        own = self.card.cautions if self.card is not None else ()
        return own + tuple(line for line in self.live_cautions if line not in own)


_COUNTED_ON = ("progress", "counter", "meters", "settling", "stands", "glances")
_LASTING = tuple(one.name for one in fields(Snapshot) if one.name not in _COUNTED_ON)


def only_counted_on(before: Snapshot, after: Snapshot) -> bool:
    """Whether nothing came but what comes thirty times a second: the count, and what an instrument shows."""
    standings = (None if one.progress is None else one.progress.standing for one in (before, after))
    return next(standings) == next(standings) and all(
        getattr(before, name) is getattr(after, name) for name in _LASTING
    )


def advance(now: Snapshot, news: told.News, at: float) -> Snapshot:
    """The snapshot after a piece of news that came at `at` [s, monotonic]."""
    match news:
        case told.WindingBegun(job=job, winding=name):
            return replace(now, stage=Stage.WINDING, job=job, winding=job.get_winding(name))
        case told.Progressed(progress=progress) if now.hand_count is not None:
            return replace(now, progress=progress)
        case told.HandCount(count=count):
            counter = replace(COUNTER, condition=Health.RESTING, advice="Turns are typed, layer by layer.")
            return replace(now, hand_count=count, counter=counter)
        case told.Progressed(progress=progress):
            return replace(now, progress=progress, counter=now.counter.heard(f"{progress.turns:.1f} turns", at))
        case told.CountEvent(event=event):
            happenings = (happening_of(event, at), *now.happenings)[:_KEPT_HAPPENINGS]
            return replace(now, happenings=happenings, counter=after.counter_after(now.counter, event, at))
        case told.InstrumentsChosen(name=name, uses=uses):
            counter, meters = after.chosen(name, uses, now.counter, now.meters)
            return replace(now, counter=counter, meters=meters)
        case told.InstrumentOpened():
            counter, meters = after.opened(news, now.counter, now.meters)
            return replace(now, counter=counter, meters=meters)
        case told.InstrumentSaid(identity=identity):
            return replace(now, counter=replace(now.counter, identity=board_text(identity)))
        case told.TestBegun(job=job, plan=plan, curve=curve, nominal=nominal):
            return replace(
                now, stage=Stage.TESTING, job=job, plan=plan, curve=curve, nominal=nominal,
                counter=now.counter.resting(), rig=Rig(at_once=news.at_once),
            )  # fmt: skip
        case told.Asked(request=request):
            return _asked(now, request)
        case told.Taking(step=step, quantity=quantity):
            meters = after.awaited(now.meters, quantity, at)
            return replace(now, step=step, settling="", stands="", glances=(), meters=meters)
        case told.Settling(shown=shown, stands=stands, value=value, u=u, unit=unit):
            glances, meters = with_glance(now.glances, Glance(at, value, u, unit)), after.shown(now.meters, shown, at)
            settling = f"{shown}  {stands}".strip()
            return replace(now, settling=settling, stands=stands, glances=glances, meters=meters)
        case told.ReadingTaken(step=step, reading=reading):
            meters, taken = after.read(now.meters, reading, at), Taken(step, reading, at)
            return replace(now, step=step, reading=reading, meters=meters, settling="", stands="", taken=taken)
        case told.StepDone(result=result):
            others = tuple(each for each in now.results if each.id != result.id)
            return replace(now, results=(*others, result), meters=after.judged(now.meters, result, at))
        case told.Suspected(suspicions=suspicions):
            return replace(now, suspicions=suspicions)
        case told.Awaits(request=request):
            return replace(_awaited(now, request), awaiting=news, awaiting_since=at, fed=_fed_after(now.fed, request))
        case told.Answered(number=number, kind=kind):
            return _answered(now, kind) if _awaits(now, number) else now
        case told.ZeroConfirmed():
            return replace(now, fed=None, rig=replace(now.rig, feed=None))
        case told.CameOff():
            return _came_off(now, news, at)
        case told.WindingOver(result=result):
            return replace(now, wound=result)
        case told.WindingsStand(states=states):
            return replace(now, windings=states)
        case told.JobOpened(path=path, job=job, text=text):
            return _opened_job(now, path, job, text)
        case told.WorkBegun(doing=doing):
            said = now.said if now.fed is not None else ()  # what was wrong before is over, unless it is the volts
            return replace(now, doing=doing, awaiting=None, said=said, **_ANEW.get(doing, {}))
        case told.WorkEnded(problem=problem):
            return _ended(now, problem)
        case told.Said():
            return replace(now, said=(news, *now.said)[:_KEPT_SAID])
        case told.Reckoned(name=name):
            return replace(now, reckoned={**now.reckoned, name: news})
        case told.Finished(result=result):
            meters = tuple(one.resting() if one.condition is Health.WELL else one for one in now.meters)
            return replace(
                now,
                stage=Stage.ENDED,
                results=result.steps,
                verdict=result,
                card=None,
                live="",
                live_cautions=(),
                meters=meters,
            )


_ANEW: dict[str, dict[str, Any]] = {
    "winding": {"winding": None, "progress": None, "happenings": (), "wound": None, "hand_count": None},
    "test": {
        "plan": (), "curve": None, "card": None, "step": "", "live": "", "live_cautions": (), "reading": None,
        "settling": "", "stands": "", "glances": (), "taken": None, "rig": _BARE,
        "results": (), "suspicions": (), "verdict": None,
    },
}  # fmt: skip
"""What is forgotten when a work begins."""


def _came_off(now: Snapshot, news: told.CameOff, at: float) -> Snapshot:
    counter = now.counter
    if news.counter and news.speed is not None:
        counter = counter.heard(f"{news.state.off:.1f} turns off", at)
    return replace(now, coming_off=news, counter=counter)


def _fed_after(fed: Excite | None, request: OperatorRequest) -> Excite | None:
    """A feed that can hurt stands until somebody says that the volts are at zero."""
    return request if isinstance(request, Excite) and request.hazard > HANDS_OFF_VOLTS and request.volts > 0 else fed


def _answered(now: Snapshot, kind: ReplyKind) -> Snapshot:
    """Volts are off once a person has said so, and not where the question was left out."""
    request = None if now.awaiting is None else now.awaiting.request
    over = kind is ReplyKind.DONE and (
        (isinstance(request, Excite) and request.volts == 0)
        or (isinstance(request, Confirm) and request.step in ("start", "resumed"))
    )
    return replace(now, awaiting=None, fed=None if over else now.fed)


def _awaits(now: Snapshot, number: int) -> bool:
    return now.awaiting is not None and now.awaiting.number == number


def _opened_job(now: Snapshot, path: Path, job: Job, text: str) -> Snapshot:
    """The same job read anew keeps what is known of it."""
    if now.job is not None and now.path == path and now.job.identity.number == job.identity.number:
        # What was reckoned from the same text holds.
        return replace(now, job=job, text=text, reckoned=now.reckoned if text == now.text else {})
    return Snapshot(
        job=job,
        path=path,
        text=text,
        said=now.said,
        counter=now.counter,
        meters=now.meters,
        fed=now.fed,
        rig=Rig(feed=now.fed),
    )


def _ended(now: Snapshot, problem: str) -> Snapshot:
    """Nothing is asked for any more, and no instrument is open."""
    said = (told.Said(problem, grave=True), *now.said)[:_KEPT_SAID] if problem else now.said
    stage = now.stage if now.stage in (Stage.ENDED, Stage.WINDING) else Stage.WAITING
    return replace(
        now, doing="", awaiting=None, coming_off=None, card=None, settling="", said=said, stage=stage,
        counter=now.counter.resting(), meters=tuple(one.resting() for one in now.meters),
    )  # fmt: skip


def _awaited(now: Snapshot, request: OperatorRequest) -> Snapshot:
    """The session tells its observers of a request and then puts it: told twice, it is asked once."""
    told_already = now.card is not None and now.card == card_of(request, now.job)
    return replace(_asked(now, request), rig=now.rig) if told_already else _asked(now, request)


def _asked(now: Snapshot, request: OperatorRequest) -> Snapshot:
    card = card_of(request, now.job)
    rig = now.rig.after(request)
    if now.fed is not None and rig.feed is None:
        rig = replace(rig, feed=now.fed)  # nobody said that it is off
    asked = replace(now, card=card, step=request.step, reading=None, settling="", stands="", glances=(), rig=rig)
    match request:
        case Excite(volts=0.0):
            return replace(asked, live="", live_cautions=())
        case Excite():
            return replace(asked, live=live_text(request), live_cautions=request.cautions)
    return asked

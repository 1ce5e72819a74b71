"""All scenes: which face, in which state, looked at how long after the last word, with which keys pressed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from bench.acceptance.cautions import Cautions, Hazard
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Take
from bench.dashboard import news as told
from bench.dashboard.acceptance.diagram.rig import Rig
from bench.dashboard.pictures.bench_of_pictures import FINISHED, HALF_WOUND, UNTOUCHED, PictureBench
from bench.dashboard.pictures.dry_sitting import Moment, dry_sitting
from bench.dashboard.pictures.winding_states import WINDING, after
from bench.dashboard.state import Snapshot
from drivers.reading import Quantity

__all__ = ["Scene", "scenes"]

_FACES = ("survey", "design", "winding", "restack", "test", "record")
_ALBUM = {
    "pictures and notes": ("G",),
    "a picture as large as it goes": ("G", "Return"),
    "a picture that is spoilt": ("G", "Down", "Down"),
    "a note in the album": ("G", "Down", "Down", "Down"),
    "a caption is typed": ("G", "T"),
}
_HURTS = 100.0
"""Volts between terminals."""
_LONG_PORTS = (
    ("volts", "scpi@/dev/serial/by-id/usb-Example_Works_Bench_Meter_4_0417-if00-port0"),
    ("amps", "scpi@/dev/serial/by-id/usb-Example_Works_Bench_Meter_4_0418-if00-port0"),
    ("ohms", "scpi@/dev/serial/by-path/pci-0000:00:14.0-usb-0:2.4.1:1.0-port0"),
)


@dataclass(frozen=True)
class Scene:
    """face: as the rail names it;  job: of the bench of pictures, empty where none is open;  make: the state, from that
    of the open job;  later: s after the last word;  keys: pressed one after the other, as Qt names them;  leaving: as
    somebody closes the window."""

    face: str
    name: str
    make: Callable[[Snapshot], Snapshot]
    job: str = HALF_WOUND
    later: float = 0.2
    keys: tuple[str, ...] = ()
    leaving: bool = False


def scenes(bench: PictureBench) -> Iterator[Scene]:
    """Face by face; the states are worked out one after the other, as they are asked for."""
    for face in _FACES:
        yield Scene(face, "no job", _as_it_is, job="")
        for job in (UNTOUCHED, HALF_WOUND, FINISHED):
            yield Scene(face, job, _as_it_is, job=job)
    for name, (news, later) in WINDING.items():
        yield Scene("winding", name, partial(_told, news), later=later)
    middle = partial(_told, WINDING["in the middle"][0])
    yield Scene("winding", "a count is typed", middle, keys=("S",))
    yield Scene("winding", "somebody closes it", middle, leaving=True)
    yield from _tests(bench)
    for face in ("survey", "record"):
        for name, keys in _ALBUM.items():
            yield Scene(face, name, _as_it_is, job=FINISHED, keys=keys)
        yield Scene(face, "an empty album", _as_it_is, job=UNTOUCHED, keys=("G",))


def _as_it_is(start: Snapshot) -> Snapshot:
    return start


def _told(news: Callable[[Snapshot], tuple[told.News, ...]], start: Snapshot) -> Snapshot:
    return after(start, *news(start))


def _tests(bench: PictureBench) -> Iterator[Scene]:
    def scene(name: str, state: Snapshot, later: float = 0.2, keys: tuple[str, ...] = ()) -> Scene:
        return Scene("test", name, lambda start: state, later=later, keys=keys)

    start = bench.desk(HALF_WOUND).state
    assert start.job is not None
    sitting = partial(dry_sitting, start.job, bench.bench, start, bench.aside)
    good = sitting()
    yield scene("first caution", _asking(good, Confirm))
    yield scene("leads", _asking(good, Connect))
    yield scene("leads and links", _first(good, lambda one: isinstance(one.request, Connect) and one.request.links))
    yield scene("a typed value", _asking(good, Enter))
    yield scene("a reason is typed", _asking(good, Connect), keys=("F8",))
    yield scene("a reading settles", _asking(good, Take))
    yield scene("no word from the meter", _asking(good, Take), later=20.0)
    yield scene("live", _first(good, lambda one: isinstance(one.request, Excite) and one.request.hazard > _HURTS))
    yield scene("live, a reading settles", _first(good, lambda one: isinstance(one.request, Take) and one.state.live))
    yield scene("volts to zero", _first(good, lambda one: isinstance(one.request, Excite) and not one.request.volts))
    live = _first(good, lambda one: isinstance(one.request, Excite) and one.request.hazard > _HURTS)
    yield scene("gone on with late", after(replace(live, live="", rig=Rig()), told.Awaits(1, _gone_on_with())))
    yield scene("accepted", good[-1].state)
    heater = sitting(change=_two_turns_more)
    yield scene("rejected on the way", _first(heater, lambda one: _has(one.state, Verdict.REJECTED)))
    yield scene("rejected", heater[-1].state)
    yield scene("stopped by low insulation", sitting(typed=_low_insulation(good))[-1].state)
    three = sitting(uses=_LONG_PORTS, lost_at=_last_reading(good, Quantity.VOLTAGE_AC))
    yield scene("three meters", _asking(three, Take))
    yield scene("a meter went away", _first(three, lambda one: _has(one.state, Verdict.TROUBLE)))
    yield scene("trouble", three[-1].state)
    yield scene("read by hand", _asking(sitting(uses=(("", "hand"),)), Connect))
    grave = told.Said("/dev/ttyUSB0 is held by another program: close it, then begin again", grave=True)
    yield scene("a grave word", after(start, grave))


def _gone_on_with() -> Confirm:
    """After everything that can hurt was told in an earlier sitting."""
    cautions = Cautions()
    cautions.of(*(one for one in Hazard if one not in (Hazard.VARNISH, Hazard.OVEN, Hazard.LAMINATIONS)))
    return Confirm("resumed", "This test was broken off. Before it goes on: volts at zero, unit unplugged and "
                   "discharged, no lead, no link and no load left on it.", cautions.again())  # fmt: skip


def _two_turns_more(take: Take, connect: Connect, value: float) -> float:
    """Of 19 on the heater."""
    return value * 21 / 19 if connect.from_terminal.startswith("heater.") and not connect.links else value


def _low_insulation(good: list[Moment]) -> dict[str, str]:
    steps = (one.request.step for one in good if isinstance(one.request, Enter))
    return {step: "0.5 Mohm" for step in steps if step.startswith("insulation:ht")}


def _last_reading(moments: list[Moment], quantity: Quantity) -> str:
    """The last step that reads it."""
    takes = [one.request for one in moments if isinstance(one.request, Take)]
    return [take.step for take in takes if take.quantity is quantity][-1]


def _asking(moments: list[Moment], what: type) -> Snapshot:
    return _first(moments, lambda one: isinstance(one.request, what))


def _first(moments: list[Moment], wanted: Callable[[Moment], object]) -> Snapshot:
    return next(one.state for one in moments if wanted(one))


def _has(state: Snapshot, verdict: Verdict) -> bool:
    return any(one.verdict is verdict for one in state.results)

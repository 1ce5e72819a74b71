"""What is asked of the person now, as the card shows it: words, leads with their marks, cautions."""

from __future__ import annotations

from dataclasses import dataclass

from bench.acceptance.entering import span_text
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Wait
from bench.job.model import Job
from bench.operators.request_lines import source_named
from bench.quantities import show

__all__ = ["Card", "Terminal", "card_of", "live_text"]


@dataclass(frozen=True)
class Terminal:
    """A place for a clip: `heater.start`, and the tag and colour of its lead as they are on the unit."""

    name: str
    marks: str

    def __str__(self) -> str:
        return f"{self.name}   {self.marks}" if self.marks else self.name


@dataclass(frozen=True)
class Card:
    """do: what to do;  clips: from, to;  links: wires that join others meanwhile;  cautions: before it is done."""

    step: str
    do: str
    clips: tuple[Terminal, ...] = ()
    links: tuple[tuple[Terminal, Terminal], ...] = ()
    cautions: tuple[str, ...] = ()


def card_of(request: OperatorRequest, job: Job | None) -> Card:
    """The card for a request; `job` gives the leads their tags and colours."""
    match request:
        case Confirm():
            return Card(request.step, request.text, cautions=request.cautions)
        case Connect():
            return _with_places(request, request.step, request.text, request.cautions, job)
        case Enter(reading_of=Connect() as place):
            return _with_places(place, request.step, request.text, request.cautions, job)
        case Enter():
            unit = request.unit.replace("ohm", "Ω").replace("degC", "°C")
            how = f"Enter it in {unit}." if request.quantity.unit else f"Enter {unit}."
            return Card(request.step, f"{request.text} {how}", cautions=request.cautions)
        case Wait():
            return Card(request.step, f"{request.text} {span_text(request.seconds)}.", cautions=request.cautions)
        case Load(ohms=None):
            return Card(request.step, f"Take the load off {request.winding}.")
        case Load():
            takes = f"{show(request.amps, 'A', 3)}, {show(request.watts, 'W', 3)} of heat; it gets hot"
            do = f"{request.text or f'Load {request.winding}.'} {show(request.ohms or 0.0, 'ohm', 3)}: {takes}."
            clips = (_terminal(request.from_terminal, job), _terminal(request.to_terminal, job))
            return Card(request.step, do, clips, cautions=request.cautions)
        case Excite(volts=0.0):
            return Card(request.step, request.text or "Volts to zero, supply off.")
        case Excite():
            limiter = " through the limiter" if request.limiter else ""
            series = "" if request.series_ohms is None else f", {request.series_ohms:g} Ω in series"
            volts = f"{show(request.volts, 'V', 3)}, {request.hertz:g} Hz"
            do = f"Feed {request.winding}{limiter}{series}: {volts}, from the {source_named(request.source)}."
            do = f"{request.text} {do}".lstrip()
            clips = (_terminal(request.from_terminal, job), _terminal(request.to_terminal, job))
            return Card(request.step, do, clips, cautions=request.cautions)


def live_text(feed: Excite) -> str:
    """What is live now; what can't hurt is not called so."""
    if feed.hazard <= HANDS_OFF_VOLTS:
        return f"Low volts: {show(feed.volts, 'V', 3)} on {feed.winding}, at most {feed.hazard:.0f} V anywhere"
    return f"LIVE: {show(feed.volts, 'V', 3)} on {feed.winding}, up to {feed.hazard:.0f} V between terminals"


def _with_places(place: Connect, step: str, text: str, cautions: tuple[str, ...], job: Job | None) -> Card:
    clips = (_terminal(place.from_terminal, job), _terminal(place.to_terminal, job))
    links = tuple((_terminal(a, job), _terminal(b, job)) for a, b in place.links)
    return Card(step, text, clips, links, cautions)


def _terminal(name: str, job: Job | None) -> Terminal:
    return Terminal(name, "" if job is None else job.marks(name))

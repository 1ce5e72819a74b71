"""Which of the dialects that are known is nearest to what an unknown meter answered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from drivers.harmless import harmless
from drivers.met import Met
from drivers.meter_profile import MeterProfile

__all__ = ["Likeness", "likeness", "nearest"]


class _Kind(StrEnum):
    """What is compared, each with what it counts where it agrees and where it does not.

    What a question about the function is answered says more of a dialect than how its lines end.
    """

    FUNCTION = "function"
    FORM = "form"
    IDENTITY = "identity"
    PROBE = "probe"
    READING = "reading"
    ERRORS = "errors"
    MANNERS = "manners"
    ENDS = "ends"


_COUNTS = {
    _Kind.FUNCTION: (3, -3),
    _Kind.FORM: (0, -1),
    _Kind.IDENTITY: (2, -1),
    _Kind.PROBE: (3, -3),
    _Kind.READING: (1, -2),
    _Kind.ERRORS: (1, -1),
    _Kind.MANNERS: (1, -1),
    _Kind.ENDS: (1, -1),
}
_OF_SUBSTANCE = (_Kind.FUNCTION, _Kind.IDENTITY, _Kind.PROBE, _Kind.READING)


@dataclass(frozen=True, slots=True)
class _Verdict:
    kind: _Kind
    good: bool
    words: str


@dataclass(frozen=True, slots=True)
class Likeness:
    """A dialect with what was met that agrees with it, and what differs, in words.

    proved: the meter answered the dialect's own question about the function, or its probe, as the dialect expects.
    of_substance: more agrees than how lines end.
    """

    profile: MeterProfile
    agrees: tuple[str, ...]
    differs: tuple[str, ...]
    score: int
    proved: bool
    of_substance: bool


def nearest(met: Met, profiles: Iterable[MeterProfile]) -> Likeness | None:
    """The likeliest; None where no question of any dialect was answered as it expects."""
    alike = [each for each in (likeness(met, profile) for profile in profiles) if each.of_substance]
    return max(alike, key=lambda each: (each.score, each.proved), default=None)


def likeness(met: Met, profile: MeterProfile) -> Likeness:
    """How far what was met is what the dialect expects."""
    verdicts = [
        _identity(met, profile),
        *_functions(met, profile),
        *_readings(met, profile),
        *_errors(met, profile),
        _manners(met, profile),
        _terminators(met, profile),
    ]
    agrees = [each for each in verdicts if each.good]
    differs = [each for each in verdicts if not each.good]
    asks = any(function.verify for function in profile.functions.values())
    proof = _Kind.FUNCTION if asks else _Kind.PROBE
    return Likeness(
        profile=profile,
        agrees=tuple(each.words for each in agrees),
        differs=tuple(each.words for each in differs),
        score=sum(_COUNTS[each.kind][0] for each in agrees) + sum(_COUNTS[each.kind][1] for each in differs),
        proved=any(each.kind is proof for each in agrees),
        of_substance=any(each.kind in _OF_SUBSTANCE for each in agrees),
    )


def _identity(met: Met, profile: MeterProfile) -> _Verdict:
    query = profile.identity_query
    kind = _Kind.PROBE if profile.identity_is_probe else _Kind.IDENTITY
    answer = met.answers.get(query)
    if answer is None:
        return _Verdict(kind, False, f"no answer to {query}")
    if profile.identity_pattern.fullmatch(answer) is None:
        return _Verdict(kind, False, f"{query} is answered in another form")
    return _Verdict(kind, True, f"{query} is answered as expected")


def _functions(met: Met, profile: MeterProfile) -> list[_Verdict]:
    """One verdict for each question about the function; the meter stands on one only, so that one pattern must fit.

    What a function asks after its first question is about its range, which says little of the dialect.
    """
    patterns: dict[str, list[bool]] = {}
    for function in profile.functions.values():
        for check in function.verify[:1]:
            answer = met.answers.get(check.query)
            fits = answer is not None and check.pattern.fullmatch(answer) is not None
            patterns.setdefault(check.query, []).append(fits)
    return [_question(met, query, any(fits)) for query, fits in patterns.items()]


def _question(met: Met, query: str, fits: bool) -> _Verdict:
    if fits:
        return _Verdict(_Kind.FUNCTION, True, f"{query} is answered as expected")
    if query in met.answers:
        return _Verdict(_Kind.FORM, False, f"{query} is answered in another form")
    return _Verdict(_Kind.FUNCTION, False, f"no answer to {query}")


def _readings(met: Met, profile: MeterProfile) -> list[_Verdict]:
    """Of the dialects whose readings are had by a question that does no harm; FETC? is every SCPI meter's."""
    reads = dict.fromkeys(function.read for function in profile.functions.values())
    known = [each for each in reads if harmless(each) and each not in (profile.identity_query, "FETC?")]
    return [
        _Verdict(
            _Kind.READING, each in met.answers, f"{each} is answered" if each in met.answers else f"no answer to {each}"
        )
        for each in known
        if each in met.answers or each in met.unanswered
    ]


def _errors(met: Met, profile: MeterProfile) -> list[_Verdict]:
    if profile.error_query is None:
        none = met.error_query is None
        return [_Verdict(_Kind.ERRORS, none, "no error queue" if none else f"{met.error_query} is answered")]
    if not harmless(profile.error_query):
        return []  # such as the event status register, which was not asked
    if met.error_query == profile.error_query:
        return [_Verdict(_Kind.ERRORS, True, f"{met.error_query} is answered as expected")]
    return [_Verdict(_Kind.ERRORS, False, f"no answer to {profile.error_query}")]


def _manners(met: Met, profile: MeterProfile) -> _Verdict:
    manners = profile.manners
    if (manners.echo, bool(manners.prompt)) == (met.echo, bool(met.prompts)):
        return _Verdict(_Kind.MANNERS, True, "echo and prompt as expected")
    return _Verdict(
        _Kind.MANNERS, False, f"{'an' if met.echo else 'no'} echo and {'a' if met.prompts else 'no'} prompt"
    )


def _terminators(met: Met, profile: MeterProfile) -> _Verdict:
    good = profile.terminator_sent in met.obeyed and (
        met.received in (None, profile.terminator_received)
        or (met.received, profile.terminator_received) == (b"\r\n", b"\n")  # a CR before LF is taken away with it
    )
    return _Verdict(_Kind.ENDS, good, "lines end as expected" if good else "lines end otherwise")

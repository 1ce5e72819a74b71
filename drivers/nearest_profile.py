"""Which of the dialects that are known is nearest to what an unknown meter answered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from drivers.met import Met
from drivers.meter_profile import MeterProfile

__all__ = ["Likeness", "likeness", "nearest"]

# What a question about the function answers says more of a dialect than how its lines end.
_WEIGHTS = {"function": 3, "identity": 2, "error queue": 1, "manners": 1, "terminators": 1}


@dataclass(frozen=True, slots=True)
class Likeness:
    """A dialect with what was met that agrees with it, and what differs, in words.

    proved: the meter answered the dialect's own question about the function, or its probe, as the dialect expects.
    """

    profile: MeterProfile
    agrees: tuple[str, ...]
    differs: tuple[str, ...]
    score: int
    proved: bool


def nearest(met: Met, profiles: Iterable[MeterProfile]) -> Likeness | None:
    """The likeliest; None where nothing but the ends of lines agrees with any."""
    alike = [likeness(met, profile) for profile in profiles]
    best = max(alike, key=lambda each: (each.score, each.proved), default=None)
    return best if best is not None and best.score > 0 else None


def likeness(met: Met, profile: MeterProfile) -> Likeness:
    """How far what was met is what the dialect expects."""
    verdicts = [
        ("identity", *_identity(met, profile)),
        *(("function", *each) for each in _functions(met, profile)),
        ("error queue", *_errors(met, profile)),
        ("manners", *_manners(met, profile)),
        ("terminators", *_terminators(met, profile)),
    ]
    agrees = [(kind, words) for kind, good, words in verdicts if good]
    differs = [(kind, words) for kind, good, words in verdicts if not good]
    probed = profile.identity_is_probe and any(kind == "identity" for kind, _ in agrees)
    asks = any(function.verify for function in profile.functions.values())
    proved = any(kind == "function" for kind, _ in agrees) if asks else probed
    score = sum(_WEIGHTS[kind] for kind, _ in agrees) - sum(_WEIGHTS[kind] for kind, _ in differs)
    return Likeness(profile, tuple(words for _, words in agrees), tuple(words for _, words in differs), score, proved)


def _identity(met: Met, profile: MeterProfile) -> tuple[bool, str]:
    query = profile.identity_query
    answer = met.answers.get(query)
    if answer is None:
        return False, f"no answer to {query}"
    if profile.identity_pattern.fullmatch(answer) is None:
        return False, f"{query} is answered in another form"
    return True, f"{query} is answered as expected"


def _functions(met: Met, profile: MeterProfile) -> list[tuple[bool, str]]:
    """One verdict for each question about function and range; the meter stands on one function only, so that one
    pattern of several must fit."""
    patterns: dict[str, list[bool]] = {}
    for function in profile.functions.values():
        for check in function.verify:
            answer = met.answers.get(check.query)
            fits = answer is not None and check.pattern.fullmatch(answer) is not None
            patterns.setdefault(check.query, []).append(fits)
    verdicts = []
    for query, fits in patterns.items():
        if query in met.answers:
            good = any(fits)
            verdicts.append((good, f"{query} is answered {'as expected' if good else 'in another form'}"))
        elif query in met.unanswered and not query.endswith("RANG?"):
            verdicts.append((False, f"no answer to {query}"))
    return verdicts


def _errors(met: Met, profile: MeterProfile) -> tuple[bool, str]:
    if profile.error_query is None:
        return met.error_query is None, "no error queue" if met.error_query is None else "there is an error queue"
    if met.error_query == profile.error_query:
        return True, f"{met.error_query} is answered as expected"
    return False, f"no answer to {profile.error_query}"


def _manners(met: Met, profile: MeterProfile) -> tuple[bool, str]:
    manners = profile.manners
    wanted = (manners.echo, bool(manners.prompt))
    if wanted == (met.echo, bool(met.prompts)):
        return True, "echo and prompt as expected"
    return False, f"{'an' if met.echo else 'no'} echo, {'a' if met.prompts else 'no'} prompt"


def _terminators(met: Met, profile: MeterProfile) -> tuple[bool, str]:
    if profile.terminator_sent in met.obeyed and met.received in (None, profile.terminator_received):
        return True, "lines end as expected"
    return False, "lines end otherwise"

"""What a design is asked, line by line, and what becomes of a line that is typed anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, get_args

from bench.job.edit import Value
from bench.job.fields import Amps, Fraction, Tesla, Volts
from bench.job.load import Load
from bench.job.model import Job, Targets
from bench.job.winding import Winding
from bench.sitting.typed_value import typed_value

__all__ = ["AskedTarget", "Change", "asked_targets", "typed_target"]

_TESLA = {"flux_density": "flux, nominal", "flux_density_high": "flux, high mains"}
_USUAL, _NONE = "usual", "none"
"""Words that take a target out of the job file."""
_AIMS = {"loss": "copper loss", "temperature": "all loss", "copper": "copper"}


@dataclass(frozen=True)
class AskedTarget:
    """key: of [targets], or `winding.NAME`;  words: what it is;  value: as it stands;  asks: line by line;  choices:
    for the first line."""

    key: str
    words: str
    value: str
    asks: tuple[str, ...]
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change:
    """Keys of [targets], of [[winding]] by name, of [[load]] by winding, and what is written; None takes a key out."""

    words: str
    targets: Mapping[str, Value] = field(default_factory=dict)
    windings: Mapping[str, Mapping[str, Value]] = field(default_factory=dict)
    loads: Mapping[str, Mapping[str, Value]] = field(default_factory=dict)


def asked_targets(job: Job) -> tuple[AskedTarget, ...]:
    """Of each secondary its volts and amps, then the limits, then what is made least."""
    targets = job.targets
    rows = [_of_winding(job, one) for one in job.secondaries]
    for key, words in _TESLA.items():
        at = getattr(targets, key)
        usual = "as usual" if key == "flux_density" else "by tolerance"
        asks = (f"{words}, such as 1.2 T; {_USUAL}: {usual}",)
        rows.append(AskedTarget(key, words, usual if at is None else f"{at:g} T", asks))
    letters = tuple(one for one in _choices("temperature_class") if one)
    rows.append(
        AskedTarget(
            "temperature_class",
            "insulation class",
            targets.temperature_class or "A, as usual",
            (f"class of insulation, {', '.join(letters)}; {_USUAL}: A",),
            (*letters, _USUAL),
        )
    )
    fill = f"{100 * targets.window_fill:g} %"
    rows.append(
        AskedTarget("window_fill", "window, at most", fill, (f"part of the window, such as 95 %; {_USUAL}: 95 %",))
    )
    within = f"{100 * targets.volts_within:g} %"
    rows.append(
        AskedTarget("volts_within", "volts within", within, (f"since turns are whole, such as 3 %; {_USUAL}: 3 %",))
    )
    rows.append(
        AskedTarget(
            "objective",
            "made least",
            _AIMS[targets.objective],
            (f"loss (in copper), temperature (all loss), or copper; {_USUAL}: temperature",),
            (*_AIMS, _USUAL),
        )
    )
    rows.append(
        AskedTarget(
            "order",
            "order",
            targets.order,
            (f"as given, or free; {_USUAL}: as given",),
            ("as given", "free", _USUAL),
        )
    )
    rows.append(
        AskedTarget(
            "keep",
            "kept windings",
            ", ".join(targets.keep) or "none",
            (f"windings that stay as they are, such as ht, heater, or {_NONE}",),
        )
    )
    return tuple(rows)


def typed_target(job: Job, asked: AskedTarget, answers: tuple[str, ...]) -> Change:
    """What is written for the lines that `asked` asks; raises ValueError for one that is none."""
    key, text = asked.key, answers[0]
    if key.startswith("winding."):
        return _typed_winding(job, job.get_winding(key.removeprefix("winding.")), answers)
    out = _NONE if key == "keep" else _USUAL
    if not text:
        # A key held too long, or one pressed by mistake, must not take a limit out of the job file.
        raise ValueError(f"nothing was typed, expected a value, or the word {out}; it stays: {asked.value}")
    told = f"{asked.words}: {text}"
    if text.lower() == out:
        return Change(told, {key: None})
    if key in _TESLA:
        return Change(told, {key: typed_value(text, Tesla, "T").text})
    if key == "volts_within":
        return Change(told, {key: typed_value(text, Fraction, "%").text})
    if key == "window_fill":
        share = typed_value(text, Fraction, "%").value or 0.0
        if not 0.2 < share <= 1.0:
            raise ValueError(f"{text[:40]!r}: expected more than 20 % and at most 100 %")
        return Change(told, {key: round(share, 4)})
    if key == "keep":
        return _typed_keep(job, text)
    choices = {one.lower(): one for one in _choices(key) if one}
    if text.lower() not in choices:
        raise ValueError(f"{text[:40]!r}: expected one of {', '.join(choices.values())}")
    return Change(told, {key: choices[text.lower()]})


def _of_winding(job: Job, one: Winding) -> AskedTarget:
    load = _load_of(job, one)
    volts = "volts?" if one.rated_voltage is None else f"{one.rated_voltage:g} V"
    amps = "amps?" if one.rated_current is None else _amps(one.rated_current)
    if load is not None:
        amps = f"{_amps(load.current)}{'' if load.rectifier == 'none' else ' dc'}"
        if load.rail_voltage is not None:
            volts = f"rail {load.rail_voltage:g} V"
    at = " open" if one.rated_at == "no load" else ""
    rail = "direct volts of the rail of" if load is not None and load.rail_voltage is not None else "volts of"
    direct = "direct amps of" if load is not None and load.rectifier != "none" else "amps of"
    asks = (
        f"{rail} {one.name}, such as {volts.removeprefix('rail ')}; Enter: as it is",
        f"{direct} {one.name}, such as {amps.removesuffix(' dc')}; Enter: as it is",
    )
    return AskedTarget(f"winding.{one.name}", one.name, f"{volts}{at}, {amps}", asks)


def _typed_winding(job: Job, one: Winding, answers: tuple[str, ...]) -> Change:
    """A load says more than a rating: what it says of volts and amps is what the search goes by."""
    load = _load_of(job, one)
    winding: dict[str, Value] = {}
    loaded: dict[str, Value] = {}
    if answers[0]:
        volts = typed_value(answers[0], Volts, "V").text
        if load is not None and load.rail_voltage is not None:
            loaded["rail_voltage"] = volts
        else:
            winding["rated_voltage"] = volts
    if answers[1]:
        amps = typed_value(answers[1], Amps, "A").text
        if load is not None:
            loaded["current"] = amps
        else:
            winding["rated_current"] = amps
    if not winding and not loaded:
        raise ValueError("nothing was typed, expected volts, amps or both; Esc leaves them")
    words = f"{one.name}: {', '.join(str(value) for value in (*winding.values(), *loaded.values()))}"
    of_winding = {one.name: winding} if winding else {}
    return Change(words, windings=of_winding, loads={load.winding: loaded} if load is not None and loaded else {})


def _load_of(job: Job, one: Winding) -> Load | None:
    return next((each for each in job.load if each.winding.partition(".")[0] == one.name), None)


def _typed_keep(job: Job, text: str) -> Change:
    names = [name.strip() for name in text.split(",") if name.strip()]
    known = {one.name.casefold(): one for one in job.winding}
    for name in names:
        one = known.get(name.casefold())
        if one is None:
            raise ValueError(f"{name[:40]!r}: expected names of {', '.join(each.name for each in job.winding)}")
        if one.turns is None or one.wire is None:
            raise ValueError(f"{one.name} has no turns and wire yet, so it can't stay as it is")
    kept = [known[name.casefold()].name for name in names]
    return Change(f"windings that stay: {', '.join(kept)}", {"keep": list(kept)})


def _amps(amps: float) -> str:
    return f"{amps:g} A" if amps >= 0.5 else f"{amps * 1e3:g} mA"


def _choices(key: str) -> tuple[Any, ...]:
    return get_args(Targets.model_fields[key].annotation)

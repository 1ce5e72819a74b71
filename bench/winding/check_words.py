"""Checks of a finished winding in sentences for the person who could still unwind it."""

from __future__ import annotations

import math

from bench.winding.check_values import COVERAGE, Cause, Conclusion, Counted, Explanation, Says
from bench.winding.ratio_answer import Polarity, RatioAnswer, RatioOf
from bench.winding.resistance_check import Leads, ResistanceAnswer
from bench.winding.strands_check import StrandsAnswer

__all__ = ["count_words", "explanation_words", "ohms_lines", "says_words", "strands_lines", "volts_lines"]

_KELVIN = 273.15
_WORTH_NAMING = 0.02
"""Of the best explanation's weight: what fits worse is left out of the sentences; the record has it."""


def ohms_lines(answer: ResistanceAnswer) -> tuple[str, ...]:
    """What the ohms say, the conclusion first; then what else there is to know."""
    read = f"{_amount(answer.ohms, answer.u_ohms, 'ohm')} at {_celsius(answer)}"
    if answer.ohms <= COVERAGE * answer.u_ohms:
        first = f"{answer.winding}: {read}, no more than the doubt of meter and leads"
        if answer.conclusion is Conclusion.DISAGREES:
            due = f"where {_due(answer)} would be due"
            return (f"{first}, {due}: they disagree. Start and finish touch, or the clips do.",)
        return (f"{first}: {_verdict(answer.conclusion, answer.sees, answer.counted)}", *_four_wires(answer))
    lines = [
        f"{answer.winding}: {read} says {says_words(answer.says)}{_alone(answer)}; {count_words(answer.counted)}"
        + (": " if answer.sharper is None else ".")
    ]
    verdict = _verdict(answer.conclusion, answer.sees, answer.counted)
    if answer.sharper is None:
        lines[0] += verdict
    else:
        beside = _listed(answer.beside)
        lines.append(f"Against {beside}, on the same wire, it says {says_words(answer.sharper)}: {verdict}")
    if answer.layers_sum is not None and abs(answer.layers_sum - answer.counted.turns) >= 0.5:
        lines.append(
            f"The layers as written down add up to {_turns(answer.layers_sum)}, the count is "
            f"{_number(answer.counted.turns)}: look which of them is wrong."
        )
    if answer.conclusion is Conclusion.DISAGREES:
        lines.append(f"For that count {_due(answer)} would be due at that temperature.")
        lines += _explained(answer.causes)
        if any(one.cause in (Cause.LAYER_SHORTED, Cause.LAYER_MISSING) for one in answer.causes):
            lines.append(
                "A few volts on some laminations tell a layer that is missing from one that is shorted: turns that are "
                "there give their volts, and a short draws current."
            )
        lines.append("Read once more with the clips put on anew before anything is unwound.")
    if answer.conclusion is Conclusion.CANT_TELL:
        lines += [_what_blurs(answer), *_four_wires(answer)]
    return tuple(lines)


def volts_lines(answer: RatioAnswer) -> tuple[str, ...]:
    """What the volts say of each thing that was read, and the polarity."""
    lines = []
    for one in answer.of:
        lines.append(_ratio_line(one))
        lines += _explained(one.causes)
        if one.conclusion is Conclusion.DISAGREES and not one.causes:
            lines.append("Nothing known here fits that: read once more.")
    if answer.polarity is not None:
        lines.append(_polarity_line(answer, answer.polarity))
    if answer.conclusion is Conclusion.DISAGREES:
        lines.append("Read once more with the clips put on anew, volts to zero in between, before anything is unwound.")
    return tuple(lines)


def strands_lines(answer: StrandsAnswer) -> tuple[str, ...]:
    """What the ohms of strands in hand say against each other."""
    by = 100 * answer.difference
    u = 100 * COVERAGE * answer.u
    pair = (
        f"{answer.winding}: strand {answer.most} has {_to_doubt(by, u)} % more ohms than strand {answer.least}, "
        f"within {_to_doubt(u, u)} %"
    )
    match answer.conclusion:
        case Conclusion.AGREES:
            return (f"{pair}: they agree.",)
        case Conclusion.CANT_TELL:
            return (f"{pair}: too wide to tell; read them with one meter on one range, by four wires if it has them.",)
    turns = f"about {_turns(round(answer.turns, 1))} more"
    causes = f"it may have {turns}, be thinner or drawn out, or a joint of it is poor"
    return (
        f"{pair}: they differ.",
        f"Strand {answer.most}: {causes}. Do not join them before the volts between their free ends are next to none: "
        "strands of unequal turns drive a current round through each other.",
    )


def says_words(says: Says) -> str:
    """`988 to 1009 turns`, with as many places as the interval is worth."""
    if not math.isfinite(says.high):
        return "no turns: the count that it goes by is broken"
    places = _places(says.half)
    low, high = f"{says.low:.{places}f}", f"{says.high:.{places}f}"
    if low == high:
        return f"{low} {'turn' if float(low) == 1 else 'turns'}"
    return f"{low} to {high} turns"


def count_words(counted: Counted) -> str:
    """`the count says 997`; an interval where it is one."""
    if not counted.bounded:
        return "the count is broken"
    if counted.certain:
        return f"the count says {_number(counted.turns)}"
    return f"the count says {_number(counted.low)} to {_number(counted.high)}"


def explanation_words(one: Explanation) -> str:
    """One cause with its size, such as `17 to 41 turns fewer than counted`."""
    size = one.size
    match one.cause:
        case Cause.TURNS:
            return _fewer_or_more(one, "than counted")
        case Cause.LAYER_MISSING:
            return f"{_layers(size)} counted that {_is_are(size)} not there"
        case Cause.LAYER_DOUBLE:
            return f"{_layers(size)} more than counted"
        case Cause.LAYER_SHORTED:
            return f"{_layers(size)} shorted"
        case Cause.STRAND_OPEN:
            return f"{size:.0f} {'strand' if size == 1 else 'strands'} in hand open or not joined"
        case Cause.WIRE_SIZE:
            steps = f"{abs(size):.0f} {'size' if abs(size) == 1 else 'sizes'}"
            return f"wire {steps} {'thicker' if size > 0 else 'thinner'} than the job says, {one.what}"
        case Cause.STRETCHED:
            return f"wire drawn out by {_range(one, 100)} %"
        case Cause.WARMER:
            flipped = one if size > 0 else _flipped(one)
            return f"copper {_range(flipped)} K {'warmer' if size > 0 else 'colder'} than was told"
        case Cause.IN_SERIES:
            milli = one.high < 0.1
            return f"{_range(one, 1e3 if milli else 1)} {'mohm' if milli else 'ohm'} in series: a poor joint, or leads"
        case Cause.FED_TURNS:
            return f"{one.what} has {_fewer_or_more(one, 'than its count')}"
        case Cause.HALF_TURN:
            return (
                f"half a turn {'more' if size > 0 else 'fewer'}: start and finish leave on opposite sides of the core"
            )
        case Cause.LEADS_ON_TAP:
            return f"the clips were on {one.what}, {_turns(size)}"
        case Cause.TAP_PLACE:
            flipped = one if size > 0 else _flipped(one)
            return f"tap {one.what} lies {_range(flipped)} turns too {'late' if size > 0 else 'early'}"


def _ratio_line(one: RatioOf) -> str:
    by = f"{_volts(one.volts)} to {_volts(one.base_volts)} on {one.by}"
    head = f"{one.of}: {by} says {says_words(one.says)}; {count_words(one.counted)}"
    return f"{head}: {_verdict(one.conclusion, one.sees, one.counted)}"


def _polarity_line(answer: RatioAnswer, one: Polarity) -> str:
    head = f"In series {_volts(one.volts)}, where aiding gives {_volts(one.aiding)} and bucking {_volts(one.bucking)}"
    if one.found is None:
        return f"{head}: too near to each other to tell the polarity."
    found, due = ("aiding" if sign > 0 else "bucking" for sign in (one.found, one.due))
    if one.found == one.due:
        return f"{head}: {found}, as it should be."
    return (
        f"{head}: {found}, and it should be {due}: start and finish of {answer.after} are exchanged, or it was "
        "wound the other way. Mark the leads anew, nothing need be unwound."
    )


def _verdict(conclusion: Conclusion, smallest: float, counted: Counted) -> str:
    match conclusion:
        case Conclusion.AGREES:
            return f"they agree. A miscount of {_at_least(smallest)} would show."
        case Conclusion.DISAGREES:
            return "they disagree."
        case Conclusion.CANT_TELL:
            pass
    if not counted.bounded or not math.isfinite(smallest):
        return "nothing to compare."
    if smallest >= counted.turns:
        return "too wide to tell anything of the count."
    return f"too wide to tell; only a miscount of {_at_least(smallest)} would show."


def _alone(answer: ResistanceAnswer) -> str:
    return "" if answer.sharper is None else " by itself"


def _explained(causes: tuple[Explanation, ...]) -> list[str]:
    words = [explanation_words(one) for one in causes if one.weight >= _WORTH_NAMING]
    if not words:
        return []
    if len(words) == 1:
        return [f"That would be {words[0]}."]
    return [f"That would be, what fits best first: {'; '.join(words)}."]


def _what_blurs(answer: ResistanceAnswer) -> str:
    """The two largest doubts, so that a person knows what is worth doing better."""
    if not answer.doubts:
        return ""
    named = [f"{cause} {200 * u:.2g} %" for cause, u in answer.doubts[:2]]
    return f"The most of that is {' and '.join(named)}."


def _four_wires(answer: ResistanceAnswer) -> list[str]:
    if answer.leads is Leads.STILL_IN and answer.ohms < 10:
        return ["Read it by four wires, or hold both clips on one wire first and take that off."]
    return []


def _fewer_or_more(one: Explanation, than: str) -> str:
    """`2 turns fewer`, `17 to 41 turns fewer`; over zero, `from 3 fewer to 5 more`."""
    low, high = (one.low, one.high) if one.high - one.low < 20 else (round(one.low), round(one.high))
    if low < 0 < high:
        return f"from {_number(-low)} turns fewer to {_number(high)} more {than}"
    flipped = one if one.size > 0 else _flipped(one)
    text = _range(flipped)
    return f"{text} {'turn' if text == '1' else 'turns'} {'more' if one.size > 0 else 'fewer'} {than}"


def _flipped(one: Explanation) -> Explanation:
    return Explanation(one.cause, -one.size, -one.high, -one.low, one.weight, one.what)


def _range(one: Explanation, factor: float = 1.0) -> str:
    """`17 to 41`, or one number where both are the same; never below zero."""
    low, high = max(0.0, one.low) * factor, one.high * factor
    whole = max(abs(low - round(low)), abs(high - round(high))) < 1e-9
    places = 0 if whole else _places((high - low) / 2)
    first, last = f"{low:.{places}f}", f"{high:.{places}f}"
    return first if first == last else f"{first} to {last}"


def _layers(number: float) -> str:
    return f"{number:.0f} {'layer' if number == 1 else 'layers'}"


def _is_are(number: float) -> str:
    return "is" if number == 1 else "are"


def _at_least(turns: float) -> str:
    """Rounded up, since that much would show and less might not."""
    places = 0 if turns >= 2 else 1
    up = math.ceil(turns * 10**places - 1e-9) / 10**places
    return f"{up:.{places}f} {'turn' if up == 1 else 'turns'} or more"


def _turns(turns: float) -> str:
    return f"{_number(turns)} {'turn' if turns == 1 else 'turns'}"


def _number(turns: float) -> str:
    """A count as it is written: no decimals where there are none, one or two where there are."""
    return f"{turns:.2f}".rstrip("0").rstrip(".")


def _places(half: float) -> int:
    """Decimals for a value that is good to so much either way."""
    if not (half > 0 and math.isfinite(half)):
        return 0
    return min(3, max(0, math.ceil(-math.log10(half / 2))))


def _to_doubt(value: float, doubt: float) -> str:
    places = min(3, max(0, 1 - math.floor(math.log10(doubt)))) if doubt > 0 else 2
    return f"{value:.{places}f}"


def _amount(value: float, u: float, unit: str) -> str:
    """To the place that the meter is good for; under a tenth in thousandths."""
    factor, unit = (1e3, f"m{unit}") if max(abs(value), COVERAGE * u) < 0.1 else (1.0, unit)
    doubt = COVERAGE * u * factor
    places = min(4, max(0, -math.floor(math.log10(doubt)))) if doubt > 0 else 3
    return f"{value * factor:.{places}f} {unit}"


def _due(answer: ResistanceAnswer) -> str:
    """Worked out and not read: three figures, however coarse the meter."""
    return _amount(answer.due, min(answer.u_ohms, 0.005 * answer.due), "ohm")


def _volts(volts: float) -> str:
    """Four figures; under a tenth in millivolts."""
    shown, unit = (volts * 1e3, "mV") if 0 < volts < 0.1 else (volts, "V")
    places = max(0, 3 - math.floor(math.log10(shown))) if shown > 0 else 0
    return f"{shown:.{places}f} {unit}"


def _celsius(answer: ResistanceAnswer) -> str:
    places = 0 if answer.u_temperature >= 0.5 else 1
    return f"{answer.temperature - _KELVIN:.{places}f} °C"


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

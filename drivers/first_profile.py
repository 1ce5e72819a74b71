"""Writes a profile to start from, out of what an unknown meter answered and the nearest dialect that is known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from drivers.met import Met
from drivers.nearest_profile import Likeness
from drivers.reading import Quantity

__all__ = ["first_profile"]

# Worse than what the makers of most 3.5 digit hand-held meters promise: percent of reading, counts. Common practice,
# no source. What is worse than the truth calls a result undecided; what is better calls a bad one good.
_CAUTIOUS = {
    Quantity.VOLTAGE_AC: (1.5, 5.0),
    Quantity.VOLTAGE_DC: (1.0, 3.0),
    Quantity.CURRENT_AC: (2.0, 5.0),
    Quantity.CURRENT_DC: (1.5, 5.0),
    Quantity.RESISTANCE: (1.5, 5.0),
    Quantity.RESISTANCE_4W: (1.5, 5.0),
    Quantity.FREQUENCY: (0.5, 3.0),
}
_COUNTS = 1000.0
_LEADS_OHM = 0.5
_ALTERNATING = (Quantity.VOLTAGE_AC, Quantity.CURRENT_AC)
# A question about the range of a function is answered where the function is there.
_RANGE_QUERY = {
    Quantity.VOLTAGE_AC: "VOLT:AC:RANG?",
    Quantity.VOLTAGE_DC: "VOLT:DC:RANG?",
    Quantity.CURRENT_AC: "CURR:AC:RANG?",
    Quantity.RESISTANCE: "RES:RANG?",
    Quantity.RESISTANCE_4W: "FRES:RANG?",
}
_VALUE_QUERIES = ("FETC?", "VAL1?", "VAL?")
_BOARD_STARTS_S = 2.0

Table = Mapping[str, Any]


def first_profile(met: Met, near: Likeness, table: Table, name: str) -> str:
    """The text of a TOML file that loads; `table` is the file of the nearest dialect.

    What was found out is taken from the meter; messages that set something were never sent and are those of the nearest
    dialect; where that has ranges by value the meter is left to range itself, since its ranges are not known.
    """
    proved = near.proved
    about = f"met by its answers, nearest dialect {near.profile.name}"
    lines = [
        *_comment(met, near),
        "schema = 1",
        f"name = {_text(name)}",
        f"about = {_text(about)}",
        'accuracy_basis = "not known: a cautious class, until you put your meter\'s own figures here"',
        f"setup = {_value(_setup(met, table, proved))}",
        "",
        "[interface]",
        *_interface(met, near, table),
        "",
        "[timing]",
        *_pairs(_timing(met, table)),
        "",
        "[identity]",
        *_pairs(_identity(met, near, table)),
        "",
    ]
    if proved and table.get("remote"):
        lines += ["# Of the nearest dialect, not tried.", "[remote]", *_pairs(table["remote"]), ""]
    else:
        lines += [
            '# Where it obeys only after such a message: enter = ["SYST:REM"], leave = ["SYST:LOC"].',
            "[remote]",
            "",
        ]
    if met.error_query is not None:
        lines += ["[errors]", *_pairs(_errors(met, table)), ""]
    values = [f"# {each} was answered {_plain(met.answers[each])!r}." for each in _VALUE_QUERIES if each in met.answers]
    lines += [*values, "[reading]", *_pairs(table.get("reading", {})), ""]
    for quantity in Quantity:
        function = table["functions"].get(quantity)
        if function is not None:
            lines += _function(met, near, quantity, function)
    return "\n".join(lines).rstrip() + "\n"


def _comment(met: Met, near: Likeness) -> list[str]:
    said = [f"#   {query} -> {_plain(answer)}" for query, answer in met.answers.items()]
    doubt = [f"# It differs from that dialect: {'; '.join(near.differs)}."] if near.differs else []
    return [
        "# A profile to start from, made from what one meter answered to questions that set nothing:",
        *said,
        f"# Everything that sets something is of the nearest dialect, {near.profile.name}, and was NOT tried.",
        *doubt,
        "# Take a reading of something you know, of each function, before you trust it.",
        "# The accuracy is a cautious class: put your meter's own figures here, from its manual, and its own ranges.",
    ]


def _setup(met: Met, table: Table, proved: bool) -> list[str]:
    if proved:
        return list(table.get("setup", []))
    return ["*CLS"] if met.error_query is not None else []


def _interface(met: Met, near: Likeness, table: Table) -> list[str]:
    of_dialect: Table = table.get("interface", {})
    frame = met.frame
    found: dict[str, Any] = {
        "baud_rate": frame.baud_rate,
        "data_bits": frame.data_bits,
        "parity": str(frame.parity),
        "stop_bits": frame.stop_bits,
        "dtr": frame.dtr,
        "rts": frame.rts,
        "open_settle_s": _BOARD_STARTS_S if met.banner else 0.0,
        "terminator_sent": met.obeyed[0].decode("ascii"),
        "terminator_received": (met.received or b"\n").decode("ascii"),
    }
    if met.echo:
        found["echo"] = True
    found |= _prompts(met, of_dialect)
    if "acknowledge" in of_dialect or met.acknowledges:
        found |= _acknowledges(met, of_dialect)
    for key in ("gap_s", "longest_message", "line_limit", "skip"):
        if key in of_dialect:
            found[key] = of_dialect[key]
    if met.xon_xoff:
        notes = ['flow = "xon/xoff"']
    else:
        said = '# Flow control can\'t be found by asking: put "xon/xoff" or "rts/cts" where the meter\'s menu says so.'
        notes = [said, 'flow = "none"']
    if (frame.data_bits, frame.stop_bits) == (8, 1):
        notes.append("# Two stop bits can't be told from one by asking: stop_bits = 2 where the meter's menu says so.")
    if met.received is None:
        notes.append(
            "# Its answers came without an end: put here what your meter's manual says, as terminator_received."
        )
    if "acknowledge" not in found and not near.proved:
        notes.append(
            '# Whether it acknowledges a message that is no question can\'t be found by asking: acknowledge = "OK".'
        )
    return [*_pairs(found), *notes]


def _prompts(met: Met, of_dialect: Table) -> dict[str, Any]:
    if not met.prompts:
        return {}
    good = next((each for each in met.prompts if "?" not in each and "!" not in each), ">")
    wrong = next((each for each in met.prompts if "?" in each), of_dialect.get("prompt_command_error", ""))
    failed = next((each for each in met.prompts if "!" in each), of_dialect.get("prompt_execution_error", ""))
    found = {"prompt": good, "prompt_command_error": wrong, "prompt_execution_error": failed}
    found = {key: text for key, text in found.items() if text and (key == "prompt" or text != good)}
    return found if met.prompt_ends_line else {**found, "prompt_ends_line": False}


def _acknowledges(met: Met, of_dialect: Table) -> dict[str, Any]:
    good = next(
        (each for each in met.acknowledges if not each.lower().startswith("n")), of_dialect.get("acknowledge", "OK")
    )
    refused = [each for each in met.acknowledges if each.lower().startswith("n")]
    error = refused[0] if refused else of_dialect.get("acknowledge_error", "")
    return {"acknowledge": good, **({"acknowledge_error": error} if error else {})}


def _timing(met: Met, table: Table) -> dict[str, float]:
    of_dialect: Table = table.get("timing", {})
    usual = {"response_s": 3.0, "identity_s": 1.5, "late_s": 2.0, "quiet_s": 0.1}
    timing = {key: float(of_dialect.get(key, value)) for key, value in usual.items()}
    slow = round(3.0 * met.slowest_s, 1)
    timing["response_s"] = max(timing["response_s"], slow)
    timing["identity_s"] = max(timing["identity_s"], slow)
    return timing


def _identity(met: Met, near: Likeness, table: Table) -> dict[str, Any]:
    of_dialect: Table = table["identity"]
    query = met.identity_query or met.probe or ""
    answer = met.answers.get(query, "")
    if query == near.profile.identity_query and near.profile.identity_pattern.fullmatch(answer):
        pattern = of_dialect["pattern"]
    else:
        pattern = _pattern(met, answer)
    if met.identity is None:
        return {"probe": query, "pattern": pattern}
    serial = of_dialect.get("serial_field", met.serial_field) if len(met.identity_fields) > 3 else met.serial_field
    return {"query": query, "pattern": pattern, **({"serial_field": serial} if serial else {})}


def _pattern(met: Met, answer: str) -> str:
    """What answers of this kind look like, whatever they say."""
    count = len(met.identity_fields)
    if count > 1:
        return f"[^,]{{1,80}}(?:,[^,]{{0,80}}){{{count - 1}}}"
    if met.identity is not None:
        return "[ -~]{2,160}"
    if re.fullmatch(r"\d{1,3}", answer):
        return r"\d{1,3}"
    if re.fullmatch(r"\"[^\"]*\"", answer):
        return '"[^"]{1,80}"'
    return "[ -~]{1,80}"


def _errors(met: Met, table: Table) -> dict[str, Any]:
    of_dialect: Table = table.get("errors", {})
    kept = (
        {"pattern": of_dialect["pattern"]}
        if of_dialect.get("query") == met.error_query and "pattern" in of_dialect
        else {}
    )
    return {"query": met.error_query, **kept, "most": 20}


def _function(met: Met, near: Likeness, quantity: Quantity, of_dialect: Table) -> list[str]:
    asked = _RANGE_QUERY.get(quantity, "")
    if asked in met.unanswered and any(each in met.answers for each in _RANGE_QUERY.values()):
        return [f"# No [functions.{quantity}]: it did not answer {asked}, although it answers that of others.", ""]
    kept = {key: value for key, value in of_dialect.items() if key not in ("ranges", "bands", "response", "filter")}
    kept = {key: value for key, value in kept.items() if not key.startswith("crest_factor")}
    ranges = of_dialect["ranges"]
    by_word = any("word" in each for each in ranges)
    if not by_word:
        kept = _ranging_itself(kept)
    if quantity in _ALTERNATING:
        kept["response"] = "mean"
    if quantity is Quantity.RESISTANCE:
        kept["lead_resistance_ohm"] = max(_LEADS_OHM, float(kept.get("lead_resistance_ohm", 0.0)))
    unproved = [
        f"# {check.query} was answered {_plain(met.answers[check.query])!r}: put in verified what it is here."
        for check in near.profile.functions[quantity].verify[:1]
        if not near.proved and check.query in met.answers
    ]
    note = [
        '# Taken as responding to the mean: put "true rms" and crest_factor_max here if your meter\'s manual says so.'
    ]
    return [
        f"[functions.{quantity}]",
        *unproved,
        *(note if quantity in _ALTERNATING else []),
        *_pairs(kept),
        "ranges = [",
        *(f"  {{ {', '.join(_pairs(_range(quantity, each)))} }}," for each in ranges),
        "]",
        "",
    ]


def _ranging_itself(function: dict[str, Any]) -> dict[str, Any]:
    """The messages of a function without a range in them."""
    found = dict(function)
    for key in ("select", "read", "arm"):
        if key in found:
            several = [found[key]] if isinstance(found[key], str) else found[key]
            changed = [_without_range(each) for each in several]
            found[key] = changed[0] if isinstance(found[key], str) else changed
    if "verify" in found:
        queries = [found["verify"]] if isinstance(found["verify"], str) else found["verify"]
        patterns = [found["verified"]] if isinstance(found["verified"], str) else found["verified"]
        pairs = [(q, p) for q, p in zip(queries, patterns, strict=True) if not q.endswith(("RANG?", "RANGE?"))]
        found["verify"] = [query for query, _ in pairs]
        found["verified"] = [pattern.replace("(?P<range>", "(?:") for _, pattern in pairs]
    return found


def _without_range(message: str) -> str:
    """`CONF:VOLT:AC {range}` as `CONF:VOLT:AC`, and `VOLT:AC:RANG {range}` as `VOLT:AC:RANG:AUTO ON`: without a range
    CONFigure and MEASure range themselves (SCPI-99, volume 2, 3.1)."""
    if re.search(r"RANG(?:E)? \{range\}", message):
        return re.sub(r" \{range\}", ":AUTO ON", message)
    return re.sub(r"\s*\{range\}[A-Za-z]*", "", message)


def _range(quantity: Quantity, of_dialect: Table) -> dict[str, Any]:
    unit = quantity.unit
    full_scale = float(of_dialect[f"full_scale_{unit}"])
    percent, counts = _CAUTIOUS[quantity]
    resolution = full_scale / _COUNTS
    if quantity is Quantity.FREQUENCY:
        resolution = float(of_dialect[f"resolution_{unit}"])  # of a counter its own digits, not a part of the range
    return {
        f"full_scale_{unit}": full_scale,
        f"resolution_{unit}": resolution,
        f"noise_{unit}": resolution / 2.0,
        "percent_of_reading": percent,
        "counts": counts,
        **{key: of_dialect[key] for key in ("word", "shown") if key in of_dialect},
    }


# -- TOML ------------------------------------------------------------------------------------------

_ESCAPES = {"\r": "\\r", "\n": "\\n", "\t": "\\t"}


def _pairs(table: Table) -> list[str]:
    return [f"{key} = {_value(value)}" for key, value in table.items()]


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_text(key)} = {_value(each)}" for key, each in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(each) for each in value) + "]"
    return str(value)


def _text(text: str) -> str:
    if "\\" in text and "'" not in text and text.isprintable():
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(_ESCAPES.get(c) or (c if 32 <= ord(c) < 127 else f"\\u{ord(c):04x}") for c in escaped) + '"'


def _plain(text: str) -> str:
    return "".join(c if 32 <= ord(c) < 127 else "?" for c in text)

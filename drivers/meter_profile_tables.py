"""Builds a meter's profile from its tables."""

from __future__ import annotations

from collections.abc import Mapping

from drivers.answer_shape import AnswerShape
from drivers.errors import ProfileError
from drivers.line_tables import line_settings_from, terminator_from
from drivers.manners import Manners
from drivers.meter_function_tables import functions_from
from drivers.meter_profile import Completion, MeterProfile, MeterTiming
from drivers.scpi import AnswerForms
from drivers.strict_table import StrictTable

__all__ = ["meter_profile_from"]

_SCHEMA = 1
_READINGS = ("5", "-0.05", "+2.301200E+02", "9.9E37")  # no line that is skipped may look like one of these


def meter_profile_from(data: Mapping[str, object], where: str) -> MeterProfile:
    """Build a profile from its table; raises ProfileError with every problem, one line each."""
    problems: list[str] = []
    top = StrictTable(data, where, problems)
    top.integer("schema", least=_SCHEMA, most=_SCHEMA)
    interface, identity, remote = top.table("interface"), top.table("identity"), top.table("remote")
    errors, reading, functions = top.table("errors"), top.table("reading"), top.table("functions")
    timing = top.table("timing")
    is_probe = identity.has("probe")
    profile = MeterProfile(
        name=top.text("name"),
        about=top.text("about", ""),
        accuracy_basis=top.text("accuracy_basis"),
        line=line_settings_from(interface),
        functions=functions_from(functions),
        identity_query=identity.text("probe" if is_probe else "query"),
        identity_pattern=identity.pattern("pattern"),
        identity_is_probe=is_probe,
        serial_field=0 if is_probe else identity.integer("serial_field", 0, most=9),
        terminator_sent=terminator_from(interface, "terminator_sent"),
        terminator_received=terminator_from(interface, "terminator_received"),
        line_limit=interface.integer("line_limit", 350, least=16, most=65536),
        longest_message=interface.integer("longest_message", 100, least=8, most=65536),
        device_clear=_bytes_from(interface, "device_clear"),
        manners=_manners_from(interface),
        timing=_timing_from(timing, interface),
        enter=remote.texts("enter", ()),
        leave=remote.texts("leave", ()),
        setup=top.texts("setup", ()),
        completion=_completion_from(top),
        error_query=errors.text("query") if errors.has("query") else None,
        error_form=errors.pattern("pattern", groups=("code",)) if errors.has("pattern") else None,
        errors_most=errors.integer("most", 20, least=1, most=1000),
        forms=_forms_from(reading),
        shape=_shape_from(reading),
    )
    for table in (top, interface, timing, identity, remote, errors, reading, functions):
        table.finish()
    _check_sense(profile, top)
    if problems:
        raise ProfileError("\n".join(problems))
    return profile


def _timing_from(timing: StrictTable, interface: StrictTable) -> MeterTiming:
    usual = MeterTiming()
    return MeterTiming(
        response_s=timing.number("response_s", usual.response_s, least=0.01),
        identity_s=timing.number("identity_s", usual.identity_s, least=0.01),
        quiet_s=timing.number("quiet_s", usual.quiet_s, least=0.001),
        late_s=timing.number("late_s", usual.late_s),
        resync_s=timing.number("resync_s", usual.resync_s, least=0.1),
        reopen_s=timing.number("reopen_s", usual.reopen_s),
        gap_s=interface.number("gap_s", usual.gap_s, most=10.0),
    )


def _manners_from(interface: StrictTable) -> Manners:
    manners = Manners(
        echo=interface.flag("echo", False),
        prompt=_bytes_from(interface, "prompt"),
        command_error=_bytes_from(interface, "prompt_command_error"),
        execution_error=_bytes_from(interface, "prompt_execution_error"),
        prompt_ends_line=interface.flag("prompt_ends_line", True),
        acknowledge=_bytes_from(interface, "acknowledge"),
        refusal=_bytes_from(interface, "acknowledge_error"),
        skip=interface.one_or_more_patterns("skip", ()),
    )
    if (manners.command_error or manners.execution_error) and not manners.prompt:
        interface.report("prompt", "missing, expected the prompt that follows a good message")
    if manners.refusal and not manners.acknowledge:
        interface.report("acknowledge", "missing, expected the line that follows a good message")
    words = [each for each in (manners.prompt, manners.command_error, manners.execution_error) if each]
    words += [each for each in (manners.acknowledge, manners.refusal) if each]
    if len(set(words)) != len(words):
        interface.report("prompt", "two of the prompts and acknowledge lines are the same")
    for pattern in manners.skip:
        if any(pattern.fullmatch(each) for each in _READINGS):
            interface.report("skip", f"{pattern.pattern!r} would skip a reading too")
    return manners


def _forms_from(reading: StrictTable) -> AnswerForms:
    usual = AnswerForms()
    return AnswerForms(
        overload_values=reading.numbers("overload_values", usual.overload_values),
        overload_words=reading.texts("overload_words", ()),
        no_value_values=reading.numbers("no_value_values", usual.no_value_values),
        no_value_words=reading.texts("no_value_words", ()),
    )


def _shape_from(reading: StrictTable) -> AnswerShape:
    separator = reading.text("separator", "")
    shape = AnswerShape(
        number=reading.pattern("number", groups=("value",)) if reading.has("number") else None,
        decimal_comma=reading.flag("decimal_comma", False),
        over_range_prefix=reading.text("over_range_prefix", ""),
        separator=separator,
        element=reading.integer("element", 1, least=1, most=100) if separator else 1,
        count=reading.integer("count", least=1, most=100) if separator else 1,
        other_elements=reading.pattern("other_elements") if separator and reading.has("other_elements") else None,
    )
    if shape.decimal_comma and "," in separator:
        reading.report("separator", "a comma, which can't be the decimal sign too")
    if shape.element > shape.count:
        reading.report("element", f"{shape.element}, expected no more than count, {shape.count}")
    return shape


def _completion_from(top: StrictTable) -> Completion | None:
    if not top.has("completion"):
        return None
    table = top.table("completion")
    found = Completion(
        query=table.text("query"),
        pattern=table.pattern("pattern", r"\+?1"),
        within_s=table.number("within_s", 3.0, least=0.01, most=120.0),
    )
    table.finish()
    return found


def _bytes_from(table: StrictTable, key: str) -> bytes:
    text = table.text(key, "")
    if not text.isascii():
        table.report(key, f"{text!r}, expected ASCII characters")
    return text.encode("ascii", "replace")


def _check_sense(profile: MeterProfile, top: StrictTable) -> None:
    """What only the whole tells: every message can be sent, and no prompt can be the beginning of a reading."""
    most = profile.longest_message - len(profile.terminator_sent)
    for message in profile.messages():
        if not message.isascii() or any(end in message for end in "\r\n"):
            top.report("functions", f"{message!r} can't be sent, expected ASCII without an end of line")
        elif len(message) > most:
            top.report("interface.longest_message", f"{message!r} has {len(message)} characters, over {most}")
    prompt, over = profile.manners.prompt.decode("ascii"), profile.shape.over_range_prefix
    if not profile.manners.prompt_ends_line and over and over.startswith(prompt):
        top.report("interface.prompt_ends_line", f"false, but {prompt!r} begins a reading over range too")

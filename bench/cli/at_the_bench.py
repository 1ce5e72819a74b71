"""Who does what a procedure asks, and by which meter it is read: the same for every command that goes to the bench."""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from bench.sitting.inert_text import Own, inert_text
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from contextlib import ExitStack

    from bench.acceptance.answering import Operator
    from bench.acceptance.watching import Patience
    from bench.cli.typed_lines import TypedLines
    from bench.job.model import Job
    from bench.operators.waiting import TerminalPause

__all__ = ["open_operator", "patience_with"]


def open_operator(
    text: str,
    job: Job,
    as_json: bool,
    open_things: ExitStack,
    read: Callable[[str], str] | None = None,
    *,
    keyless: bool = False,
) -> Operator:
    """The operator that `text` names: terminal, json, or rehearsal@PORT; raises BadInput or InstrumentTrouble.

    job: of whose windings the leads are named at a terminal;  read: the next line typed there, after a prompt, where
    somebody else has read from standard input before;  keyless: a meter on a line sees the volts come up, so that a
    person at a terminal presses no key for them.
    """
    from bench.cli.typed_lines import TypedLines
    from bench.operators.json_lines import JsonLinesOperator
    from bench.operators.rehearsal import ControlPort, RehearsalOperator
    from bench.operators.terminal import TerminalOperator
    from drivers.errors import DriverError

    if text == "terminal":

        def say(line: str) -> None:
            click.echo(line, err=as_json)

        if read is not None:
            return TerminalOperator(job, say, read, keyless=keyless)
        lines = TypedLines(sys.stdin, prompts_on_stderr=as_json)
        return TerminalOperator(job, say, lines.ask, keyless=keyless, pause=_pause(lines, as_json))
    if text == "json":
        if isinstance(sys.stdin, io.TextIOWrapper):
            sys.stdin.reconfigure(errors="replace")  # damaged bytes are a malformed reply, not the end of the test
        return JsonLinesOperator(sys.stdin, sys.stdout)
    kind, _, port = text.partition("@")
    if kind != "rehearsal" or not port:
        raise BadInput(f"--operator {text!r}: expected terminal, json, or rehearsal@PORT")
    control = ControlPort(port)
    try:
        control.open()
    except DriverError as problem:
        raise InstrumentTrouble(str(problem)) from None
    open_things.callback(control.close)
    return RehearsalOperator(control)


def _pause(lines: TypedLines, as_json: bool) -> TerminalPause:
    """Waits at a terminal: one line that counts down there, a line a minute elsewhere."""
    from bench.operators.waiting import TerminalPause

    overwrites = (sys.stderr if as_json else sys.stdout).isatty()

    def show(text: str) -> None:
        click.echo(Own(f"\r\x1b[K{inert_text(text)}") if overwrites else text, nl=not overwrites, err=as_json)

    return TerminalPause(lines.typed_within, show, time.monotonic, overwrites=overwrites)


def patience_with(operator: str) -> Patience:
    """How long a meter waits for what looks wrong: for a person at a keyboard, or for a machine that said `done`."""
    from bench.acceptance.watching import MACHINE, PERSON

    return PERSON if operator == "terminal" and sys.stdin.isatty() else MACHINE

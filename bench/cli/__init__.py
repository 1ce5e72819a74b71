"""The command `turnproof`: one file a command, each imported only when it runs."""

from __future__ import annotations

import contextlib
import errno
import importlib
import io
import os
import sys
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    import logging

    from click.shell_completion import CompletionItem

from bench.cli.exits import ExitStatus, of_problem
from bench.sitting.inert_text import InertOut
from bench.sitting.problems import BadInput, InstrumentTrouble

__all__ = ["main"]

# Trade words, in the order in which a job meets them. The help line stands here so that `--help` imports no command.
_COMMANDS = {
    "demo": "Try the whole job on simulated instruments, with one command.",
    "new": "Start a job file from five questions.",
    "survey": "Say what the unit as found tells; count what comes off it.",
    "check": "Check a job file, a bench file, a procedure or a profile.",
    "ports": "List serial ports, with what can be said of each.",
    "meet": "Find out how an unknown meter is spoken to; write a profile.",
    "read": "Take a reading from a meter.",
    "count": "Watch a turn counter.",
    "design": "Say what the new windings should read.",
    "sheet": "Write the winding sheet, and draw the window to scale.",
    "block": "Draw the support block for the former, for a saw or a printer.",
    "program": "Write the winding program for a CNC winder, RS-274.",
    "wind": "Count a winding to its target.",
    "restack": "Keep how the core went together, and say what is wrong with it.",
    "test": "Take a rewound unit through the acceptance test.",
    "diagnose": "Say which fault explains the readings, and what to measure next.",
    "varnish": "Keep how the unit was varnished and baked; say what to retest.",
    "record": "Show a job's record, check its chain, write its certificate.",
    "dashboard": "Open the window beside the machine and the bench.",
    "guide": "Show the guide: a whole job, meters, safety, physics, messages.",
    "rehearse": "Start simulated instruments behind real serial ports.",
    "install": "Put the window into the menu, open USB ports; show it first.",
    "completion": "Print what makes bash, zsh or fish complete this command.",
}
_COMPLETE = "_TURNPROOF_COMPLETE"
"""Set by the scripts of `turnproof completion`; its name is click's."""

_LAST_FORWARDING_S = 5.0


class _ReaderGone(Exception):
    """Whoever read our output has left: not an error of ours, and nothing can be said any more."""


class _Commands(click.Group):
    """A group that imports a command's file only when that command is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"bench.cli.{cmd_name}").command
        if _COMPLETE in os.environ and ctx.resilient_parsing:
            from bench.cli.completing import with_offers

            return with_offers(command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            import difflib

            close = difflib.get_close_matches(args[0], _COMMANDS, n=1)
            hint = f", did you mean {close[0]!r}?" if close else f", expected one of {', '.join(_COMMANDS)}"
            raise click.UsageError(f"no command {args[0]!r}{hint}")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            # Left to click this would end with 1, which says that a unit was rejected.
            raise _ReaderGone from None

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Without importing each command for its line."""
        from click.shell_completion import CompletionItem

        named = [CompletionItem(n, help=line) for n, line in _COMMANDS.items() if n.startswith(incomplete)]
        return [*named, *click.Command.shell_complete(self, ctx, incomplete)]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="turnproof", message="%(package)s %(version)s")
@click.option("-v", "--verbose", count=True, help="Say more on stderr; twice for the bytes on the line.")
@click.pass_context
def turnproof(ctx: click.Context, verbose: int) -> None:
    """\b
    Counts, tests, judges and records a rewound mains transformer.
    Exit status: 0 done, 1 rejected, 2 undecided, 3 bad input, 4 trouble.
    """
    import logging
    import logging.handlers

    from bench.records.home import log_folder
    from bench.sitting.told import TOLD

    # A log that can't be written is no reason to print traces between the readings.
    logging.raiseExceptions = False
    root = logging.getLogger()
    root.setLevel(logging.DEBUG if verbose > 1 else logging.INFO)
    handlers: list[logging.Handler] = [logging.NullHandler()]
    with contextlib.suppress(OSError):
        handlers.append(
            logging.handlers.RotatingFileHandler(
                log_folder() / "turnproof.log", maxBytes=1_000_000, backupCount=3, delay=True, encoding="utf-8"
            )
        )
    if verbose:
        handlers.append(logging.StreamHandler())
    else:
        TOLD.addHandler(logging.StreamHandler())  # its lines are for the person, and stand without time and name
    for handler in handlers:
        handler.setFormatter(_formatter())
        root.addHandler(handler)
    ctx.call_on_close(_last_to_the_server)


def _last_to_the_server() -> None:
    """What was kept reaches the workshop's server, where there is one; what does not is told."""
    shared_records = sys.modules.get("bench.sitting.shared_records")  # a command that kept nothing has not come to it
    for line in [] if shared_records is None else shared_records.finish_forwarding(_LAST_FORWARDING_S):
        click.echo(line, err=True)


def _formatter() -> logging.Formatter:
    """Moments are UTC here too, so that log, record and wire log lie side by side."""
    import logging
    import time

    formatter = logging.Formatter("%(asctime)s.%(msecs)03dZ %(levelname)s %(name)s: %(message)s", "%Y-%m-%dT%H:%M:%S")
    formatter.converter = time.gmtime
    return formatter


def main(arguments: list[str] | None = None) -> Any:
    """Run the command and end the process with its status; one line for what went wrong, never a traceback."""
    # Our matrices are small: more threads only wait for each other. Must be said before numpy is imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if sys.stdin is None:
        # Closed by whoever started us: it has ended, for all who ask.  It also keeps the first file that is opened
        # from being taken for it.
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if isinstance(stream, io.TextIOWrapper):
            # A console that lacks a sign such as the ohm's shows a question mark.
            stream.reconfigure(errors="replace")
            if stream.isatty():
                setattr(sys, name, InertOut(stream))
    _end_in_good_order_on_signals()
    if _COMPLETE in os.environ:
        import bench.cli.completing  # noqa: F401 - the shells that click is to know
    try:
        status = turnproof.main(args=arguments, prog_name="turnproof", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        sys.exit(ExitStatus.BAD_INPUT)
    except click.UsageError as error:
        where = "" if error.ctx is None else f"; see {error.ctx.command_path} --help"
        click.echo(f"{_one_line(error.format_message()).removesuffix('.')}{where}", err=True)
        sys.exit(ExitStatus.BAD_INPUT)
    except (BadInput, InstrumentTrouble) as problem:
        click.echo(str(problem), err=True)
        sys.exit(of_problem(problem))
    except click.ClickException as error:
        click.echo(error.format_message(), err=True)
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        if _terminal_is_gone():
            _say_no_more()
        else:
            click.echo("interrupted", err=True)
        sys.exit(ExitStatus.INTERRUPTED)
    except _ReaderGone:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        sys.exit(ExitStatus.UNDECIDED)
    except Exception as error:
        if isinstance(error, OSError) and error.errno == errno.EIO and _terminal_is_gone():
            # Somebody closed the window: no fault of the program, and nobody is there to be told.
            _say_no_more()
            sys.exit(ExitStatus.INTERRUPTED)
        # A fault of the program: one line for the person, the whole trace for whoever mends it.
        click.echo(f"turnproof failed: {type(error).__name__}: {_one_line(str(error))}; {_kept_trace()}", err=True)
        sys.exit(ExitStatus.TROUBLE)
    sys.exit(status if isinstance(status, int) else ExitStatus.DONE)


def _terminal_is_gone() -> bool:
    """Whether what we say goes to a terminal that was closed: it refuses even nothing."""
    for stream in (1, 2):
        try:
            os.write(stream, b"")
        except OSError as refused:
            if refused.errno == errno.EIO:
                return True
    return False


def _say_no_more() -> None:
    """What is still unsaid goes nowhere, and the end of the process does not stumble over it."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)


def _end_in_good_order_on_signals() -> None:
    """A closed terminal or a polite kill ends as Ctrl-C does: meters are left under local control, counts are kept."""
    import signal
    import threading

    if threading.current_thread() is not threading.main_thread():
        return
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)  # Windows has no hang-up
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, signal.default_int_handler)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _kept_trace() -> str:
    """Write the current trace to the log folder, and say where it is."""
    import traceback

    try:
        from bench.records.home import log_folder

        path = log_folder() / "failure.txt"
        with path.open("a", encoding="utf-8") as out:
            traceback.print_exc(file=out)
    except OSError:
        return "its trace could not be kept"
    return f"its trace is in {path}"

"""`turnproof install`: menu entry, icon and udev rule; shown first, written when asked."""

from __future__ import annotations

import os
import shlex
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.desktop.placing import Placed

__all__ = ["command"]


@click.command("install")
@click.option("--write", is_flag=True, help="Write menu entry and icon for you; with the rights of root, the rule.")
@click.option("--remove", is_flag=True, help="Take away what --write wrote; nothing else.")
@click.option("--rule", is_flag=True, help="Print the udev rule alone, to pipe it where it belongs.")
@click.option(
    "--rules-folder", type=click.Path(path_type=Path), help="Where the rule lies.  [default: /etc/udev/rules.d]"
)
def command(write: bool, remove: bool, rule: bool, rules_folder: Path | None) -> int:
    """Put the window into the desktop's menu, and open serial ports on USB to who sits here.

    By itself it writes nothing: it shows each file, where it would lie, and what to type. A file that is there and is
    not as turnproof wrote it is never written over and never taken away.
    """
    from bench.desktop.files import RULES_FOLDER, menu_files, rule_file
    from bench.desktop.placing import place
    from bench.desktop.placing import remove as take_away

    if sum((write, remove, rule)) > 1:
        raise click.UsageError("--write, --remove and --rule: expected one of them")
    if not sys.platform.startswith("linux"):
        raise BadInput("menu entry and udev rule are Linux's, expected Linux")
    the_rule = rule_file(rules_folder or RULES_FOLDER)
    if rule:
        click.echo(the_rule.text, nl=False)
        return ExitStatus.DONE
    as_root = os.geteuid() == 0 or rules_folder is not None
    if not (write or remove):
        _show((*menu_files(), the_rule), the_rule)
        return ExitStatus.DONE
    # Root has no menu: whoever types sudo means the rule.
    files = (the_rule,) if as_root else menu_files()
    problems = []
    for file in files:
        try:
            click.echo(place(file) if write else take_away(file))
        except BadInput as problem:
            problems.append(str(problem))
    if problems:
        raise BadInput("\n".join(problems))
    _what_is_left(the_rule, as_root, write)
    return ExitStatus.DONE


def _show(files: tuple[Placed, ...], rule: Placed) -> None:
    for file in files:
        click.echo(f"{file.path}\n  {file.what}; {file.state.value}\n")
        for line in file.text.splitlines():
            click.echo(f"    {line}" if line else "")
        click.echo()
    click.echo("Nothing was written. To write menu entry and icon: turnproof install --write")
    click.echo(f"To write the rule, which needs the rights of root:\n{_by_root(rule)}")


def _what_is_left(rule: Placed, as_root: bool, write: bool) -> None:
    from bench.desktop.files import rule_commands
    from bench.desktop.placing import State

    if as_root:
        click.echo("so that it is heeded at once: " + " && ".join(rule_commands()))
    elif write and rule.state is not State.SAME:
        click.echo(f"The rule for serial ports on USB is not written; it needs the rights of root:\n{_by_root(rule)}")
    elif not write and rule.state is not State.ABSENT:
        click.echo(f"The rule is left; to take it away: sudo rm {shlex.quote(str(rule.path))}")


def _by_root(rule: Placed) -> str:
    from bench.desktop.files import rule_commands

    here = "turnproof" if shutil.which("turnproof") else shlex.quote(str(Path(sys.executable).parent / "turnproof"))
    write = f"{here} install --rule | sudo tee {shlex.quote(str(rule.path))} >/dev/null"
    return "  " + " && ".join((write, *(f"sudo {one}" for one in rule_commands())))

"""`turnproof completion`: print what makes a shell complete the command."""

from __future__ import annotations

import click

from bench.cli.exits import ExitStatus

__all__ = ["command"]


@click.command("completion")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def command(ctx: click.Context, shell: str) -> int:
    """Print the completion script of a shell; commands, options, job files, windings, meters are then completed.

    \b
    bash  echo 'eval "$(turnproof completion bash)"' >> ~/.bashrc
    zsh   echo 'eval "$(turnproof completion zsh)"' >> ~/.zshrc     (after compinit)
    fish  turnproof completion fish > ~/.config/fish/completions/turnproof.fish

    It takes effect in the next shell that is opened.
    """
    from bench.cli.completing import SHELLS, VARIABLE

    kind = next(one for one in SHELLS if one.name == shell)
    click.echo(kind(ctx.find_root().command, {}, "turnproof", VARIABLE).source().rstrip("\n"))
    return ExitStatus.DONE

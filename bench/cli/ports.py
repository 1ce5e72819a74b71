"""`turnproof ports`: which serial ports there are, and what can be said of each."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

from bench.cli.exits import ExitStatus

__all__ = ["command"]


@click.command("ports")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(as_json: bool) -> int:
    """List serial ports, with what can be said of each."""
    from bench.sitting.ports_found import port_words
    from drivers.ports import list_ports

    ports = list_ports()
    if as_json:
        click.echo(json.dumps({"schema": 1, "ports": [asdict(port) for port in ports]}, indent=2))
        return ExitStatus.DONE
    for port in ports:
        click.echo("   ".join(port_words(port)))
    if not ports:
        click.echo("no serial ports; plug the instrument in, or use socket://HOST:PORT for one on the network")
    return ExitStatus.DONE

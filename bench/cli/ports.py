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
    from drivers.ports import PortInfo, list_ports

    def line(port: PortInfo) -> str:
        words = [port.device, port.description]
        if port.vendor_product:
            words.append(f"USB {port.vendor_product}" + (f" serial {port.serial_number}" if port.serial_number else ""))
        if port.stable_name:
            words.append(f"always {port.stable_name}")
        if not port.permitted:
            words.append(
                f"no permission: join the group {port.group} (sudo usermod -aG {port.group} $USER, then log in again)"
                if port.group
                else "no permission"
            )
        if port.holder is not None:
            words.append(f"in use by {port.holder}")
        return "   ".join(words)

    ports = list_ports()
    if as_json:
        click.echo(json.dumps({"schema": 1, "ports": [asdict(port) for port in ports]}, indent=2))
        return ExitStatus.DONE
    for port in ports:
        click.echo(line(port))
    if not ports:
        click.echo("no serial ports; plug the instrument in, or use socket://HOST:PORT for one on the network")
    return ExitStatus.DONE

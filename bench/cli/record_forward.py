"""`turnproof record forward`: send to the workshop's records server what is not there yet."""

from __future__ import annotations

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import opened, record_open

__all__ = ["command"]


@click.command("forward")
def command() -> int:
    """Send what this bench kept to the workshop's records server, and say what waited.

    Every command that keeps something does so by itself; this is for after the server was away. The server is named in
    the bench file ([records] server) or in TURNPROOF_RECORDS, its password in PGPASSWORD or a password file.
    """
    from bench.records.server.forwarding import forward_job, jobs_to_forward
    from bench.sitting.shared_records import the_server

    with record_open() as store, opened(lambda: the_server("record forward")) as server:
        for job in jobs_to_forward(store, server):
            click.echo(f"{job}: {forward_job(store, server, job)} entries forwarded")
        mine = store.jobs()
        click.echo(f"{server.where} has all that is kept here, of {len(mine)} job{'' if len(mine) == 1 else 's'}")
        for job in mine:
            for course in server.courses(job):
                if not store.holds(job, course.newest):
                    click.echo(f"{job}: has entries of bench {course.bench} that are not here")
    return ExitStatus.DONE

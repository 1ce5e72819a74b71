"""Starts the rehearsal by `python -m bench.rehearsal JOB ...`."""

import sys

import click

from bench.cli.rehearse import command


def main() -> int:
    try:
        command.main(standalone_mode=False)
    except click.ClickException as error:
        click.echo(f"rehearse: {error.format_message()}", err=True)
        return 3
    except click.Abort:
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())

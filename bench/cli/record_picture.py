"""`turnproof record picture`: the pictures of a job, and which of them stand on its certificate."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.on_record import number_on_record, record_open
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.pictures import KeptPicture

__all__ = ["command"]


@click.command("picture")
@click.argument("job")
@click.argument("entry", required=False, type=click.IntRange(min=1))
@click.option("--on-certificate/--not-on-certificate", "marked", default=None, help="Whether it stands there.")
@click.option("--caption", metavar="TEXT", help="What stands under it.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(job: str, entry: int | None, marked: bool | None, caption: str | None, as_json: bool) -> int:
    """List the pictures of JOB (a job file, or the number of a job), or say something of the one that is kept as
    ENTRY. What was said before stays in the record; the newest word counts."""
    from bench.sitting.attaching import caption_of, mark_picture, pictures_kept

    said: dict[str, object] = {} if marked is None else {"on_certificate": marked}
    if caption is not None:
        try:
            said["caption"] = caption_of(caption)
        except BadInput as problem:
            raise BadInput(f"--{problem}") from None
    if said and entry is None:
        raise BadInput("ENTRY: missing, expected the number of a picture's entry: turnproof record picture JOB")
    with record_open() as store:
        number = number_on_record(store, job)
        pictures = pictures_kept(store, number) if entry is None else (mark_picture(store, number, entry, said),)
    if as_json:
        click.echo(json.dumps({"schema": 1, "job": number, "pictures": [_document(one) for one in pictures]}, indent=1))
    else:
        click.echo("\n".join(_line(one) for one in pictures) or "no pictures yet: turnproof survey JOB --photo FILE")
    return ExitStatus.DONE


def _line(one: KeptPicture) -> str:
    from bench.sitting.record_words import one_line

    where = "on the certificate" if one.on_certificate else "not on the certificate"
    return one_line(f"entry {one.seq}: {one.name}, {one.words}; {where}")


def _document(one: KeptPicture) -> dict[str, object]:
    return {
        "entry": one.seq,
        "at": one.at,
        "name": one.name,
        "of": one.of,
        "caption": one.caption,
        "on_certificate": one.on_certificate,
        "sha256": one.body.get("sha256"),
    }

"""`turnproof record judge`: a kept test judged again, by today's rules or by those of then, without touching it."""

from __future__ import annotations

import json
from pathlib import Path

import click

from bench.cli.exits import of_verdict
from bench.cli.on_record import number_on_record, record_to_read

__all__ = ["command"]


@click.command("judge")
@click.argument("job")
@click.option("--test", "number", type=click.IntRange(min=1), help="Which test of the job, from 1; else the last.")
@click.option("--rules", type=click.Path(path_type=Path), help="Limits to judge by: a .toml file, or a shipped name.")
@click.option("--as-then", is_flag=True, help="Judge by the limits, steels and procedure that the record holds.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(job: str, number: int | None, rules: Path | None, as_then: bool, as_json: bool) -> int:
    """Judge a kept test of JOB (a job file, or the number of a job) again, from its readings, by today's rules.

    The job file, the bench and the accuracies are those of then. Shows what was judged then, what is judged now, and
    which limit makes the difference. The record is only read. Ends as `turnproof test` would with the new verdict.
    """
    from bench.sitting.judge_again import judge_again
    from bench.sitting.judged_compared import judged_document, judged_lines
    from bench.sitting.kept_tests import chosen_test

    with record_to_read() as record:
        found = number_on_record(record, job)
        test = chosen_test(record.landmarks(found), found, number)
    judged = judge_again(test, as_then=as_then, rules_file=rules)
    if as_json:
        click.echo(json.dumps(judged_document(judged), indent=1))
    else:
        click.echo("\n".join(judged_lines(judged)))
    return of_verdict(judged.now.verdict)

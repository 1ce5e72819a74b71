"""`turnproof restack`: how the core went together again, kept answer by answer and judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from bench.cli.stage_command import StageCall, note_and_photos, run_stage, stage_options

if TYPE_CHECKING:
    from bench.cli.asking import Asking
    from bench.cli.stage import StageDesk
    from bench.job.model import Job
    from bench.sitting.stage_account import Account

__all__ = ["command"]


@click.command("restack")
@click.option("--came-out", metavar="N", help="E's and I's that came out: 96, or 96 E 95 I.")
@click.option("--laminations-in", metavar="N", help="E's and I's put in.")
@click.option("--left-over", metavar="N", help="E's and I's left over.")
@click.option("--scrapped", metavar="N", help="Damaged ones scrapped.")
@click.option("--interleave", metavar="HOW", help="1x1, 2x2, 3x3, 4x4 or butt.")
@click.option("--gap", metavar="LENGTH", help="Spacer in a butt joint, such as 0.1mm.")
@click.option("--stack", metavar="LENGTH", help="Height of the stack, pressed, such as 45.5mm.")
@click.option("--bolts", metavar="HOW", help="insulated, bare or none.")
@click.option("--wedge", metavar="HOW", help="in, left out or none.")
@click.option("--band", metavar="WHERE", help="outside, inside, left off or none.")
@click.option("--band-tested", metavar="HOW", help="both, without, with or no.")
@click.option("--can", metavar="HOW", help="fitted, left off or none.")
@click.option("--can-tested", metavar="HOW", help="both, without, with or no.")
@click.option("--earth", metavar="HOW", help="joined, not joined or none.")
@note_and_photos
@stage_options(anew="It was taken apart and is stacked again.")
def command(call: StageCall, **given: str | None) -> int:
    """Keep how the core of JOB was stacked; asks, or takes options. - withdraws an answer.

    Ends with 2 while a warning stands or something needed is not answered.
    """
    from bench.records.entry import Kind

    return run_stage(call, Kind.RESTACK, lambda job: _Restack(call, given, job), given.values())


class _Restack:
    """What this stage has of its own: a stack that the job lets expect, and nothing that stands against beginning."""

    def __init__(self, call: StageCall, given: Mapping[str, str | None], job: Job) -> None:
        self._call = call
        self._given = given
        self._job = job

    def keep(self, desk: StageDesk) -> bool:
        from bench.winding.restack_words import QUESTIONS

        read = desk.read_options(QUESTIONS, self._given, self._call.anew)
        if self._call.anew:
            desk.begin_anew()
        desk.keep_all(read, self._call.photos, self._call.of_photos)
        return True

    def begin(self, desk: StageDesk, asking: Asking) -> bool:
        from bench.acceptance.cautions import Cautions, Hazard
        from bench.winding.restack_words import FIRST_WORDS

        for line in Cautions().of(Hazard.LAMINATIONS):
            asking.say(f"  !  {line}")
        for line in FIRST_WORDS:
            asking.say(line)
        if self._call.anew:
            desk.begin_anew()
        return True

    def ask(self, desk: StageDesk, asking: Asking) -> None:
        for question in self.account(desk).questions:
            desk.ask(asking, question)

    def begun(self, desk: StageDesk) -> bool:
        return True

    def account(self, desk: StageDesk) -> Account:
        from bench.sitting.stage_account import restack_account

        return restack_account(desk, self._job)

"""`turnproof varnish`: how the unit was varnished and baked, kept answer by answer and judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from bench.cli.stage_command import StageCall, note_and_photos, run_stage, stage_options
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.cli.asking import Asking
    from bench.cli.stage import StageDesk
    from bench.job.model import Job
    from bench.sitting.stage_account import Account

__all__ = ["command"]


@click.command("varnish")
@click.option("--varnish", metavar="NAME", help="Its full name.")
@click.option("--batch", metavar="TEXT", help="Batch, or the date on the can.")
@click.option("--thinner", metavar="TEXT", help="Which and how much.")
@click.option("--method", metavar="HOW", help="dip, brush, pour or vacuum.")
@click.option("--mass-before", metavar="MASS", help="Before varnish, dry, such as 1250g.")
@click.option("--predry", metavar="HEAT", help="Dried before varnish, such as '80 C 3 h'.")
@click.option("--drain", metavar="TIME", help="Time to drain, such as 30min.")
@click.option("--bake", "bakes", multiple=True, metavar="HEAT",
              help="A step more, such as '90 C 6 h'; '2: 90 C 4 h' corrects step 2.")  # fmt: skip
@click.option("--mass-after", metavar="MASS", help="After the bake, cold.")
@click.option("--by", metavar="NAME", help="Who varnished it.")
@note_and_photos
@click.option("--go-on-because", default="", metavar="REASON", help="Begin though not tested and accepted; recorded.")
@stage_options(anew="It is varnished once more.")
def command(call: StageCall, bakes: tuple[str, ...], go_on_because: str, **given: str | None) -> int:
    """Keep how JOB was varnished and baked; asks, or takes options. - withdraws an answer.

    Begins only after an accepted test, or with a reason. Ends with 2 while a warning stands or something needed is
    not answered.
    """
    from bench.records.entry import Kind

    def stage_of(job: Job) -> _Varnish:
        return _Varnish(call, given, bakes, _reason(go_on_because), job)

    return run_stage(call, Kind.VARNISH, stage_of, (*given.values(), *bakes))


def _reason(text: str) -> str:
    """A reason in words, empty for none; raises BadInput."""
    from bench.sitting.reason import is_reason

    if text and not is_reason(text):
        raise BadInput(f"--go-on-because {text[:40]!r}: no reason, expected words")
    return text


class _Varnish:
    """What this stage has of its own: it begins when the unit is ready, and the bake has any number of steps.

    reason: why it is begun though something stands against it, empty for none.
    """

    def __init__(
        self, call: StageCall, given: Mapping[str, str | None], bakes: tuple[str, ...], reason: str, job: Job
    ) -> None:
        from bench.acceptance.cautions import Cautions

        self._call = call
        self._given = given
        self._bakes = bakes
        self._reason = reason
        self._job = job
        self._cautions = Cautions()

    def keep(self, desk: StageDesk) -> bool:
        from bench.acceptance.cautions import Hazard
        from bench.cli.wrapped import say
        from bench.sitting.stage_account import stands_against_varnish
        from bench.winding.varnish_words import QUESTIONS, bake_question

        steps = _steps(desk, self._bakes, self._call.anew)
        bakes = {bake_question(step): text for step, text in steps.items()}
        given = {**self._given, **{question.key: text for question, text in bakes.items()}}
        read = desk.read_options([*QUESTIONS, *bakes], given, self._call.anew)
        against = stands_against_varnish(desk, anew=self._call.anew)
        if against and not self._reason:
            say(f"Not begun, nothing was kept: {against}. Varnish closes the unit: test it first (turnproof test), or "
                "say --go-on-because REASON.", err=True)  # fmt: skip
            return False
        if not self._call.as_json:
            for line in self._cautions.of(Hazard.VARNISH, Hazard.OVEN):
                say(f"  !  {line}")
        self._enter(desk, against, self._reason)
        desk.keep_all(read, self._call.photos, self._call.of_photos)
        return True

    def begin(self, desk: StageDesk, asking: Asking) -> bool:
        from bench.acceptance.cautions import Hazard
        from bench.sitting.stage_account import stands_against_varnish

        against, reason = stands_against_varnish(desk, anew=self._call.anew), self._reason
        if against:
            asking.say(f"  !  Not ready: {against}. Varnish closes the unit, and what is wrong inside stays in it.")
            reason = reason or asking.reason("why go on all the same (Enter to stop here, and test first)")
            if not reason:
                asking.say("Not begun. Next: turnproof test JOB --meter METER.")
                return False
        self._enter(desk, against, reason)
        for line in self._cautions.of(Hazard.VARNISH, Hazard.OVEN):
            asking.say(f"  !  {line}")
        return True

    def _enter(self, desk: StageDesk, against: str, reason: str) -> None:
        """The stage begins in the record."""
        if self._call.anew:
            desk.begin_anew()
        if against:
            desk.begin_although(against, reason)

    def ask(self, desk: StageDesk, asking: Asking) -> None:
        from bench.acceptance.cautions import Hazard
        from bench.winding.varnish_words import AFTER_THE_BAKE, BEFORE_THE_BAKE, bake_question

        for question in BEFORE_THE_BAKE:
            desk.ask(asking, question)
        for line in self._cautions.of(Hazard.OVEN):
            asking.say(f"  !  {line}")
        step = 1
        while desk.ask(asking, bake_question(step)) or step < _last_step(desk):
            step += 1
        for question in AFTER_THE_BAKE:
            desk.ask(asking, question)

    def begun(self, desk: StageDesk) -> bool:
        return desk.known().begun is not None

    def account(self, desk: StageDesk) -> Account:
        from bench.sitting.stage_account import varnish_account

        return varnish_account(desk, self._job)


def _steps(desk: StageDesk, bakes: tuple[str, ...], anew: bool) -> dict[int, str]:
    """The step that each --bake is for: the one that it names, or the next; raises BadInput."""
    import re

    taken = 0 if anew else _last_step(desk)
    steps: dict[int, str] = {}
    for text in bakes:
        match = re.fullmatch(r"\s*(\d{1,3})\s*:\s*(.*)", text)
        if match is None:
            taken += 1
            steps[taken] = text
        elif not 1 <= int(match[1]) <= taken:
            raise BadInput(f"--bake {text[:40]!r}: expected the number of a step that is kept, 1 to {taken}, or none")
        else:
            steps[int(match[1])] = match[2]
    return steps


def _last_step(desk: StageDesk) -> int:
    from bench.winding.varnish import bake_steps

    return max(bake_steps(desk.known()), default=0)

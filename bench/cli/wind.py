"""`turnproof wind`: count a winding to its target, with a counter or with typed counts, and check it before it is
buried."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.cli.options import Finite
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.cli.typed_lines import TypedLines
    from bench.design.plan import WindingPlan
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job
    from bench.job.winding import Winding
    from bench.sitting.winding_record import WindingRecord

__all__ = ["command"]


@click.command("wind")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.argument("winding")
@click.option("--counter", required=True, help="PROFILE@PORT, a counter of the bench file, or hand.")
@click.option("--target", type=click.IntRange(min=1), help="Turns to wind to; else those of the job.")
@click.option("--rest", default=3.0, show_default=True, type=Finite(min=0.0),
              help="Seconds that the count must rest at the target.")  # fmt: skip
@click.option(
    "--from",
    "start",
    metavar="TURNS",
    type=Finite(-100_000, 100_000),
    help="So many are on the former, where none are kept.",
)
@click.option("--again", is_flag=True, help="It was done, and is wound once more, from 0.")
@click.option("--sounds/--no-sounds", default=True, show_default=True, help="Signals by ear, where it is a terminal.")
@click.option(
    "--speak",
    type=click.IntRange(min=0),
    metavar="TURNS",
    help="Say the count aloud each so many turns; 0: only close to a tap, the end of a layer and the target.",
)
@click.option("--meter", default="hand", show_default=True, help="The meter that the checks at the end are typed from.")
@click.option("--leads-zeroed", is_flag=True, help="The meter's leads are zeroed, or four wires.")
@click.option("--batch", default="", help="Of the reel: windings of one reel are checked against each other.")
@click.option("--no-checks", is_flag=True, help="Ask for no readings when the winding ends.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option(
    "--wire-log",
    type=click.Path(path_type=Path),
    help="Keep every byte on the line in this file; else beside the record.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON lines on stdout; orders are read from stdin.")
def command(
    job_file: Path,
    winding: str,
    counter: str,
    target: int | None,
    rest: float,
    start: float | None,
    again: bool,
    sounds: bool,
    speak: int | None,
    meter: str,
    leads_zeroed: bool,
    batch: str,
    no_checks: bool,
    bench_path: Path | None,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Count WINDING of JOB to its target; ends when the count rests there, and goes on where it was interrupted.

    On a terminal keys do the rest, ? shows them. Without one,
    the same are lines on standard input: next, hold, go, add, done, set TURNS WHY, back TURNS, layer, undo, turn,
    note TEXT, end WHY, quit.
    """
    from bench.design.plan import plan_or_none
    from bench.records.problem import RecordProblem
    from bench.sitting.held_winding import held_winding
    from bench.sitting.opening import HAND, open_bench_file, open_job
    from bench.sitting.typed_winding import start_by_hand

    job = open_job(job_file)
    wanted, turns = _wanted(job, job_file, winding, target)
    bench = open_bench_file(bench_path)
    by_hand = counter == HAND or any(e.name == counter and e.use == HAND for e in bench.counter)
    if again and start is not None:
        raise BadInput("--again winds from 0, --from goes on with what is on the former: expected one of them")
    try:
        with held_winding(job_file, job, wanted.name, again=again, start=start) as record:
            plan = plan_or_none(job)
            typed = None if sys.stdin is not None and sys.stdin.isatty() and not by_hand else _keyboard(as_json)
            if by_hand:
                assert typed is not None
                if start is not None:
                    start_by_hand(record, start)
                status = _by_hand(record, wanted, turns, plan, typed, as_json)
            else:
                asked = _Asked(counter, rest, start, wire_log, as_json, sounds, speak, typed)
                status = _by_counter(record, wanted, turns, plan, bench, asked, job)
            if status is not ExitStatus.DONE or no_checks or plan is None or as_json:
                return status
            return _checked(record, plan, bench, meter, batch, typed or _keyboard(as_json), leads_zeroed)
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _wanted(job: Job, job_file: Path, winding: str, target: int | None) -> tuple[Winding, int]:
    from bench.sitting.names import expected_names, meant_name

    names = [one.name for one in job.winding]
    meant = meant_name(winding, names)
    if meant is None:
        raise BadInput(f"{job_file}: winding {winding!r} is not in the job, {expected_names(winding, names)}")
    wanted = job.get_winding(meant)
    turns = target or wanted.turns
    if turns is None:
        raise BadInput(f"{job_file}: winding.{meant}.turns: missing, or give --target")
    return wanted, turns


def _keyboard(as_json: bool) -> TypedLines:
    from bench.cli.typed_lines import TypedLines

    return TypedLines(sys.stdin, prompts_on_stderr=as_json)


class _Asked:
    """What the command line says of a counted go."""

    def __init__(
        self,
        counter: str,
        rest: float,
        start: float | None,
        wire_log: Path | None,
        as_json: bool,
        sounds: bool,
        speak: int | None,
        typed: TypedLines | None,
    ) -> None:
        self.counter, self.rest, self.start = counter, rest, start
        self.wire_log, self.as_json, self.sounds, self.speak = wire_log, as_json, sounds, speak
        self.typed = typed


def _by_hand(
    record: WindingRecord, winding: Winding, target: int, plan: WindingPlan | None, typed: TypedLines, as_json: bool
) -> ExitStatus:
    from bench.cli.wind_typed import wind_typed

    return wind_typed(record, winding, target, plan, typed.ask, as_json=as_json)


def _by_counter(
    record: WindingRecord,
    winding: Winding,
    target: int,
    plan: WindingPlan | None,
    bench: BenchFile,
    asked: _Asked,
    job: Job,
) -> ExitStatus:
    from bench.cli.wind_counted import Shown, wind_counted
    from bench.sitting.counted_winding import AskedWinding

    wire = "" if winding.wire is None else f", {winding.wire.name}"
    in_hand = f", {winding.strands} in hand" if winding.strands > 1 else ""
    wanted = AskedWinding(
        winding,
        target,
        plan,
        counter=asked.counter,
        rest=asked.rest,
        start=asked.start,
        wire_log=asked.wire_log,
        sounds=asked.sounds and not asked.as_json,
        speak=asked.speak,
    )
    shown = Shown(
        as_json=asked.as_json,
        foot_key=None if bench.foot_switch is None else bench.foot_switch.character,
        typed=asked.typed,
        title=f"{winding.name}: {target} turns{wire}{in_hand}   {job.identity.name or job.identity.number}",
    )
    result = wind_counted(record, bench, wanted, shown)
    return ExitStatus.DONE if result is not None and result.met else ExitStatus.UNDECIDED


def _checked(
    record: WindingRecord,
    plan: WindingPlan,
    bench: BenchFile,
    meter: str,
    batch: str,
    typed: TypedLines,
    leads_zeroed: bool,
) -> ExitStatus:
    """The checks before the winding is buried: UNDECIDED where one of them says something else than the count."""
    from bench.cli.asking import Asking
    from bench.cli.wind_checks import EndChecks
    from bench.cli.wrapped import say
    from bench.sitting.opening import meter_entry
    from bench.whole_test import rules_named
    from bench.winding.check_values import Conclusion

    rules: dict[str, Any] = rules_named()
    asking = Asking(typed, say)
    reel = batch or _batch_of(plan, record.winding, bench)
    checks = EndChecks(record, plan, bench, meter_entry(bench, meter), rules, asking, say, leads_zeroed=leads_zeroed)
    found = checks.run(reel)
    return ExitStatus.UNDECIDED if Conclusion.DISAGREES in found else ExitStatus.DONE


def _batch_of(plan: WindingPlan, winding: str, bench: BenchFile) -> str:
    """Of the only reel of that wire on the shelf; empty where it is not the only one, or has none."""
    wire = plan.winding(winding).winding.wire
    reels = [one for one in bench.wire if wire is not None and one.size.name == wire.name]
    return reels[0].batch if len(reels) == 1 else ""

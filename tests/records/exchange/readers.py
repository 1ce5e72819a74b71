"""Everything that reads a record, called one after the other: what a command, the window and a test are made of."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.context import Context, Equipment
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.procedure import Procedure
from bench.acceptance.requests import Connect, Excite, OperatorRequest, Take
from bench.acceptance.session import TestSession
from bench.design.forward import Forward
from bench.diagnosis.diagnose import Diagnosis
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.whole_test import rules_named
from drivers.joiner import CountJoiner
from drivers.profile_files import load_counter_profile
from drivers.reading import Quantity, Reading
from tests.acceptance.ideal_bench import ALL, IdealBench
from tests.records.exchange.kept import JOB_FILE, NUMBER

__all__ = ["JOB", "reads", "short_reads"]

JOB = Job.model_validate(tomllib.loads(JOB_FILE.read_text(encoding="utf-8")))
_BENCH = BenchFile.model_validate({"schema": 1})
_UNSEEN = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


def short_reads(store: Store) -> None:
    """What shows, lists, checks and exports a record; each ends well or with one line."""
    for read in (_shown, _history, _jobs, _certificate, _verified, _tables):
        _one_line(read, store)


def reads(store: Store) -> None:
    """And what goes on from it."""
    short_reads(store)
    for read in (_windings, _stages, _survey, _strips, _diagnosed, _tested):
        _one_line(read, store)


def _one_line(read: Callable[[Store], Any], store: Store) -> None:
    """What ends a command with a line and a status is an end as it should be."""
    try:
        told = read(store)
    except (BadInput, InstrumentTrouble) as problem:
        told = [str(problem)]
    for line in told or ():
        assert not _UNSEEN.search(line), repr(line)


def _shown(store: Store) -> Iterator[str]:
    from bench.sitting.record_words import entry_summary, run_summary, runs

    for run in runs(store.landmarks(NUMBER)):
        yield entry_summary(run[0]) if len(run) == 1 else run_summary(run)
        yield run[0].kind


def _history(store: Store) -> list[str]:
    from bench.dashboard.record.detail import detail_of
    from bench.sitting.history import read_history

    history = read_history(store, NUMBER, 10_000)
    for one in history.lines:
        detail_of(one, history)
    return [one.words for one in history.lines]


def _jobs(store: Store) -> None:
    from bench.sitting.job_files import job_files
    from bench.sitting.jobs_known import find, jobs_known

    find(jobs_known(store), "receiver")
    job_files(store, ())


def _certificate(store: Store) -> None:
    from bench.sitting.certificate_file import certificate_again, certificate_as_file

    gift = certificate_as_file(store, NUMBER, store.path.with_name("c.html"), over=True, because="looked through")
    assert b"<script" not in gift.contents
    certificate_again(store, NUMBER, store.path.with_name("again.html"), 1, over=True)


def _verified(store: Store) -> None:
    from bench.sitting.record_checked import checked

    checked(store, NUMBER)


def _tables(store: Store) -> None:
    from bench.records.exchange.count_rows import COUNTS
    from bench.records.exchange.reading_rows import READINGS
    from bench.records.exchange.survey_rows import SURVEY
    from bench.records.exchange.table import csv_text

    for table in (READINGS, COUNTS, SURVEY):
        csv_text(table, table.rows(NUMBER, store.entries(NUMBER))).encode()


def _windings(store: Store) -> None:
    from bench.sitting.winding_record import WindingRecord, unfinished, windings_stand, wound

    wound(store, JOB)
    for state in windings_stand(store, JOB):
        unfinished(store, NUMBER, state.winding)
        WindingRecord(store, NUMBER, state.winding).state  # noqa: B018
        for profile in ("hall", "plain"):
            with suppress(ValueError):  # told as another counter's
                if state.counter is not None:
                    CountJoiner(load_counter_profile(profile)).restore(state.counter)


def _stages(store: Store) -> None:
    from bench.sitting.stage_account import restack_account, stands_against_varnish, varnish_account
    from bench.sitting.stage_record import StageRecord

    for kind, account in ((Kind.RESTACK, restack_account), (Kind.VARNISH, varnish_account)):
        record = StageRecord(store, NUMBER, JOB_FILE, kind, lambda line: None)
        record.owes_judgement()
        account(record, JOB)
        stands_against_varnish(record, anew=True)


def _survey(store: Store) -> None:
    from bench.sitting.survey_history import how_it_tightened
    from bench.sitting.survey_known import known_so_far

    rules = load_table("limits", "survey")
    known_so_far(JOB, store, _BENCH, rules, curve=False).survey  # noqa: B018
    how_it_tightened(JOB, store.landmarks(NUMBER), _BENCH, rules, most=1)


def _strips(store: Store) -> None:
    from bench.sitting.coming_off import begin

    begin(store, NUMBER, "primary", load_table("limits", "survey")["count"], None, lambda line: None)


def _diagnosed(store: Store) -> None:
    from bench.acceptance.result import step_result_of

    for one in store.landmarks(NUMBER):
        if one.kind == Kind.STEP:
            step_result_of(one.body)


def _tested(store: Store) -> None:
    """Gone on with, from what is kept, on a bench that answers everything else."""
    from bench.job.procedure_file import shipped_procedure
    from bench.sitting.procedure_choice import chosen_procedure, read_before
    from bench.sitting.sit_down import sit_down
    from bench.sitting.test_stands import test_stands

    test_stands(store, NUMBER)
    entries = store.landmarks(NUMBER)
    chosen_procedure(None, entries)
    for name in ("after-varnish", "in-equipment"):
        read_before(shipped_procedure(name), entries)
    procedure = Procedure(Context(JOB, _FORWARD.design, _RULES, Equipment(ALL, series_ohms=1000.0)), _DIAGNOSIS)
    recall = sit_down(store, NUMBER, "before-varnish", procedure.phases, lambda line: None, anew=False, again=())
    bench = _Bench()

    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(NUMBER, Kind(kind), body)

    TestSession(procedure, bench, bench, keep, recall=recall).run()


_RULES = rules_named()
_FORWARD = Forward(JOB, _RULES)
_DIAGNOSIS = Diagnosis(JOB, _RULES, _FORWARD)


class _Bench:
    """Operator and instrument in one."""

    quantities = ALL
    volt_spans: tuple[float, ...] = (2.0, 20.0, 200.0, 750.0)
    range_error = 0.0025
    test_currents: tuple[tuple[float, float], ...] = ()
    moves_by_hand = False
    at_once = False
    identity = ""

    def __init__(self) -> None:
        self._ideal = IdealBench(_FORWARD.design)

    def make_safe(self, request: Excite) -> None:
        pass

    def ask(self, request: OperatorRequest) -> Reply:
        answer = self._ideal.answer(request)
        return Reply(ReplyKind.DONE) if answer is None else Reply(ReplyKind.VALUE, str(answer))

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        return abs(value) * 2e-3

    def wave_of(self, quantity: Quantity) -> WaveReading:
        return WaveReading()

    def take(self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Any = None) -> Reading:
        self._ideal.connected = connected
        return self._ideal.answer(take)

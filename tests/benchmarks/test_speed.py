"""How long the things take that a person waits for; each group has a reference measured in the same run."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from bench.design.expected import expect
from bench.design.forward import Forward
from bench.design.search import best_design
from bench.diagnosis.diagnose import Diagnosis
from bench.job.bench_file import MeterAccuracy
from bench.job.file import read_job
from bench.job.profiles import example_job, load_table
from bench.records.entry import Kind
from bench.records.store import Store
from bench.survey.evidence import evidence_of
from bench.survey.network import Network, observations_of
from bench.survey.survey import survey_of
from bench.whole_test import rules_named
from drivers.countline import HallDecoder, check_sum
from tests.acceptance.ideal_bench import run_ideal
from tests.design.test_search import by_trying_every_turn, six_windings

pytestmark = pytest.mark.benchmark

JOB = read_job(example_job("coastal-receiver"))


def _process(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL)


def _role(benchmark: Any, role: str, what: str = "") -> None:
    benchmark.extra_info.update(role=role, what=what)


@pytest.mark.benchmark(group="turnproof --help, whole process")
def test_help(benchmark: Any) -> None:
    _role(benchmark, "ours")
    benchmark.pedantic(_process, args=("-m", "bench", "--help"), rounds=15)


@pytest.mark.benchmark(group="turnproof --help, whole process")
def test_bare_interpreter(benchmark: Any) -> None:
    _role(benchmark, "reference", "a bare interpreter")
    benchmark.pedantic(_process, args=("-c", "pass"), rounds=15)


@pytest.mark.benchmark(group="a shell asks for the windings of a job, whole process")
def test_completion(benchmark: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    _role(benchmark, "ours")
    monkeypatch.setenv("COMP_LINE", f"turnproof wind {example_job('coastal-receiver')} ")
    monkeypatch.setenv("_TURNPROOF_COMPLETE", "fish_complete")
    benchmark.pedantic(_process, args=("-m", "bench"), rounds=15)


@pytest.mark.benchmark(group="a shell asks for the windings of a job, whole process")
def test_bare_interpreter_again(benchmark: Any) -> None:
    _role(benchmark, "reference", "a bare interpreter")
    benchmark.pedantic(_process, args=("-c", "pass"), rounds=15)


@pytest.mark.benchmark(group="turnproof demo --headless, whole process")
def test_demo(benchmark: Any) -> None:
    _role(benchmark, "ours")
    benchmark.pedantic(_process, args=("-m", "bench", "demo", "--headless", "--quiet"), rounds=3)


@pytest.mark.benchmark(group="turnproof demo --headless, whole process")
def test_two_interpreters_with_numpy_and_scipy(benchmark: Any) -> None:
    _role(benchmark, "reference", "importing numpy, scipy.stats, pydantic and SQLAlchemy")
    benchmark.pedantic(_process, args=("-c", "import numpy, scipy.stats, pydantic, sqlalchemy"), rounds=3)


@pytest.mark.benchmark(group="diagnosis of a whole test, first call")
def test_diagnosis(benchmark: Any) -> None:
    _role(benchmark, "ours")
    steps, rules = run_ideal()[0].steps, rules_named()
    benchmark.pedantic(lambda: Diagnosis(JOB, rules, Forward(JOB, rules))(steps, ()), rounds=7)


@pytest.mark.benchmark(group="diagnosis of a whole test, first call")
def test_one_expectation(benchmark: Any) -> None:
    _role(benchmark, "reference", "the expected readings of one unit")
    benchmark.pedantic(lambda: expect(JOB, rules_named()), rounds=15)


@pytest.mark.benchmark(group="survey of the coastal receiver, its curve and steels included")
def test_survey(benchmark: Any) -> None:
    _role(benchmark, "ours")
    found, rules = JOB.as_found, load_table("limits", "survey")
    assert found is not None
    evidence = evidence_of(found, rules, lambda _: MeterAccuracy())
    benchmark.pedantic(lambda: survey_of(JOB, found, evidence, rules), rounds=7)


@pytest.mark.benchmark(group="survey of the coastal receiver, its curve and steels included")
def test_least_squares_alone(benchmark: Any) -> None:
    _role(benchmark, "reference", "one least-squares solution of its counts and volts")
    found, rules = JOB.as_found, load_table("limits", "survey")
    assert found is not None
    observed = observations_of(evidence_of(found, rules, lambda _: MeterAccuracy()), 0.004, 0.002)
    names = sorted({name for one in observed for name in one.coefficients})
    benchmark.pedantic(lambda: Network(observed, names).solve(), rounds=30)


@pytest.mark.benchmark(group="design search: six windings, 40 sizes, 1 to 3 in hand")
def test_design_search(benchmark: Any) -> None:
    _role(benchmark, "ours")
    problem = six_windings()
    found = benchmark.pedantic(lambda: best_design(problem), rounds=5)
    assert found is not None


@pytest.mark.benchmark(group="design search: six windings, 40 sizes, 1 to 3 in hand")
def test_every_turn(benchmark: Any) -> None:
    _role(benchmark, "reference", "the best wires for every turn of the primary")
    problem = six_windings()
    worth = benchmark.pedantic(lambda: by_trying_every_turn(problem), rounds=1)
    best = best_design(problem)
    assert best is not None
    assert best.worth == pytest.approx(worth)


@pytest.mark.benchmark(group="10 000 counter lines decoded")
def test_counter_lines(benchmark: Any) -> None:
    _role(benchmark, "ours")
    data = b"".join(_line(n) for n in range(10_000))
    benchmark(lambda: HallDecoder().feed(data))


@pytest.mark.benchmark(group="10 000 counter lines decoded")
def test_json_lines(benchmark: Any) -> None:
    _role(benchmark, "reference", "the same as JSON by the standard library")
    lines = [json.dumps({"boot": 3, "line": n, "ms": n * 7, "edges": n * 2, "per": 4}) for n in range(10_000)]
    benchmark(lambda: [json.loads(line) for line in lines])


def _line(number: int) -> bytes:
    body = f"hall 1 3 {number} {number * 7} {number * 2} 4".encode()
    return body + f" {check_sum(body):04X}\n".encode()


@pytest.mark.benchmark(group="one entry appended to the record")
def test_append(benchmark: Any, tmp_path: Path) -> None:
    _role(benchmark, "ours")
    with Store(tmp_path / "records.sqlite") as store:
        benchmark.pedantic(lambda: store.append("J", Kind.COUNT, {"turns": 1.0}), rounds=300)


@pytest.mark.benchmark(group="one entry appended to the record")
def test_bare_sqlite(benchmark: Any, tmp_path: Path) -> None:
    import sqlite3

    _role(benchmark, "reference", "one INSERT by sqlite3, same settings")
    connection = sqlite3.connect(tmp_path / "bare.sqlite", isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE entry (body TEXT)")
    benchmark.pedantic(lambda: connection.execute("INSERT INTO entry VALUES ('{}')"), rounds=300)
    connection.close()

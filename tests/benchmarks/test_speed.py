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
from bench.diagnosis.diagnose import Diagnosis
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.store import Store
from bench.whole_test import rules_named
from drivers.countline import HallDecoder, check_sum
from tests.acceptance.ideal_bench import run_ideal

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

"""The session of the page about a test by hand is what the program asks."""

from __future__ import annotations

import re
import tomllib

import pytest

from bench.job.bench_file import BenchFile

from .hand_session import PAGE, SESSION, answers, asks, bench_file, parts, played, told, with_session

TEXT = PAGE.read_text(encoding="utf-8")
KEPT = SESSION.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def now(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> str:
    """The test as it goes today, with what was typed then."""
    return played(tmp_path_factory.mktemp(f"by-hand-{worker_id}"), TEXT, answers(KEPT))


def test_every_ask_of_the_session_is_asked_today_in_the_same_words(now: str) -> None:
    assert asks(now) == asks(KEPT)
    assert len(asks(KEPT)) > 100


def test_it_ends_with_the_same_rows_and_the_same_verdict(now: str) -> None:
    assert told(now) == told(KEPT)


def test_the_page_shows_the_session_and_says_what_is_cut() -> None:
    assert with_session(TEXT, KEPT) == TEXT
    assert re.findall(r"<!-- cut .*-->\n(?!\*Cut here: )", TEXT) == []
    assert {part.shown for part in parts(TEXT)} == {True, False}


def test_the_bench_file_of_the_page_is_one_and_says_10_ohm() -> None:
    bench = BenchFile.model_validate(tomllib.loads(bench_file(TEXT)))
    assert bench.resistor is not None
    assert bench.resistor.resistance == 10.0
    assert [meter.use for meter in bench.meter] == ["hand"]

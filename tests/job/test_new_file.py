"""A new job file is valid whatever was answered."""

from __future__ import annotations

import re
import tempfile
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.job.file import read_job
from bench.job.model import Job
from bench.job.new_file import NewJob, job_text
from bench.job.profiles import known

ANSWERS = st.builds(
    NewJob,
    number=st.text(max_size=60),
    what=st.one_of(st.text(), st.text(alphabet="\"'\\\n\r\t\x00\x1b\x7f\u2028#=[]{}", max_size=30)),
    made_volts=st.floats(1.0, 20e3),
    made_hertz=st.floats(10.0, 1000.0),
    volts=st.floats(1.0, 20e3),
    hertz=st.floats(10.0, 1000.0),
    tongue=st.floats(1e-3, 0.5),
    stack=st.floats(1e-3, 0.5),
)


@settings(max_examples=150, deadline=None)
@given(ANSWERS)
def test_any_answers_give_a_job_that_says_the_same(answers: NewJob) -> None:
    job = Job.model_validate(tomllib.loads(job_text(answers)))
    assert job.supply is not None
    assert job.made_for is not None
    # pydantic and Python differ in whether the separators 1C to 1F are white space.
    assert job.identity.name.strip() == answers.what.strip()
    assert job.supply.voltage == pytest.approx(answers.volts, rel=1e-5)
    assert job.made_for.frequency == pytest.approx(answers.made_hertz, rel=1e-5)
    assert job.core.stack == pytest.approx(answers.stack, rel=1e-5)


def _job(number: str = "radio-20260101-0900", what: str = "Radio") -> NewJob:
    return NewJob(number, what, 117.0, 60.0, 230.0, 50.0, 28e-3, 40e-3)


def test_the_file_on_the_disk_reads_back() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(job_text(_job(what='The "old" \\ radio\u2028\u00e4\u0001')), encoding="utf-8")
        assert read_job(path).identity.name == 'The "old" \\ radio\u2028\u00e4\u0001'


def test_every_shipped_steel_stands_in_the_comment_and_can_be_taken_from_there() -> None:
    text = job_text(_job())
    comment = " ".join(re.findall(r"(?m)^# steel = .*(?:\n# {20,}#.*)*", text))
    assert [name for name in known("steels") if name not in comment] == []
    for name in known("steels"):
        chosen = text.replace('# steel = "m400-50a"', f'steel = "{name}"')
        assert Job.model_validate(tomllib.loads(chosen)).core.steel == name


def test_what_a_terminal_in_another_encoding_sent_can_be_written() -> None:
    assert job_text(_job(what="R\udce4dio")).encode("utf-8")


@pytest.mark.parametrize(
    ("given_name", "number"),
    [
        ("radio-20260101-0900", "radio-20260101-0900"),
        ("my old radio", "my-old-radio"),
        ("r\u00e4dio/../../x", "r-dio-..-..-x"),
        ("...", "job"),
        ("\u96fb\u6e90-7", "7"),
        ("x" * 90, "x" * 40),
    ],
)
def test_the_number_is_one_that_a_record_can_bear(given_name: str, number: str) -> None:
    assert Job.model_validate(tomllib.loads(job_text(_job(given_name)))).identity.number == number

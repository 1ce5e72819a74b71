"""Windings to be paralleled, screens with both ends out, and what a lead is marked with."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.file import FileProblem, read_job
from bench.job.profiles import example_job


def _job(tmp_path: Path, more: str) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(
        'schema = 1\n[identity]\nnumber = "X-1"\n[[winding]]\nname = "a"\nrole = "secondary"\nturns = 12\n'
        f'[[winding]]\nname = "b"\nrole = "secondary"\nturns = 12\n{more}\n'
    )
    return path


def test_windings_of_as_many_turns_may_be_paralleled(tmp_path: Path) -> None:
    assert read_job(_job(tmp_path, 'parallel_with = "a"')).get_winding("b").parallel_with == "a"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('parallel_with = "c"', "expected another winding's name"),
        ('parallel_with = "b"', "expected another winding's name"),
        ('parallel_with = "d"\n[[winding]]\nname = "d"\nrole = "secondary"\nturns = 13', "expected as many"),
        ('[[winding]]\nname = "earth"\nrole = "secondary"', "expected another name"),
        ('[[winding]]\nname = "band"\nrole = "secondary"', "expected another name"),
    ],
)
def test_what_can_not_be_is_refused_in_one_line(tmp_path: Path, more: str, said: str) -> None:
    with pytest.raises(FileProblem, match=said) as problem:
        read_job(_job(tmp_path, more))
    assert len(problem.value.lines) == 1


@pytest.mark.parametrize(
    ("terminal", "marks"),
    [
        ("ht.centre", "4 (red-yellow)"),
        ("screen.lead", "E (green-yellow)"),
        ("screen.far_lead", "T (white)"),
        ("core", ""),
        ("supply.live", ""),
        ("earth.lead", ""),
    ],
)
def test_marks_of_a_lead(terminal: str, marks: str) -> None:
    assert read_job(example_job("coastal-receiver")).marks(terminal) == marks

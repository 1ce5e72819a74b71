"""Files that no person wrote as a job: still one line a problem, told at once, and never read without end."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.file import FileProblem, read_bench_file, read_job


def _told(path: Path) -> list[str]:
    with pytest.raises(FileProblem) as problem:
        read_job(path)
    return [line.removeprefix(f"{path}: ") for line in problem.value.lines]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", ["schema: missing, expected schema = 1", "identity: missing, expected a table of keys"]),
        ("a = " + "[" * 5000 + "]" * 5000, ["not TOML: lists too deep in each other, expected a TOML file"]),
        ("a = " + "9" * 5000, ["not TOML: a number of thousands of digits, expected a TOML file"]),
        ('schema = true\n[identity]\nnumber = "X"\n', ["schema: True, expected 1"]),
        ('schema = 1.5\n[identity]\nnumber = "X"\n', ["schema: 1.5, expected 1"]),
        ("# " + "x" * 1_000_000, ["larger than 1000 kB, expected a TOML file that a person wrote"]),
    ],
)
def test_what_it_is_instead_is_told(tmp_path: Path, text: str, told: list[str]) -> None:
    (tmp_path / "job.toml").write_text(text)
    assert _told(tmp_path / "job.toml") == told


def test_a_file_without_end_is_not_read_to_its_end() -> None:
    assert _told(Path("/dev/zero")) == ["larger than 1000 kB, expected a TOML file that a person wrote"]


def test_a_name_with_a_line_feed_keeps_its_problem_on_one_line(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        'schema = 1\n"a\\nb" = 1\n[identity]\nnumber = "X"\n[[winding]]\nname = "p\\nq"\nrole = "primary"\n'
    )
    assert [line.partition(": ")[0] for line in _told(tmp_path / "job.toml")] == ["winding.p\\x0aq.name", "a\\x0ab"]


def test_what_a_missing_key_should_hold_is_said(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        'schema = 1\n[identity]\n[supply]\nfrequency = "50 Hz"\n[[winding]]\nturns = 5\n[made_for]\n'
    )
    assert _told(tmp_path / "job.toml") == [
        "identity.number: missing, expected text in quotes",
        "supply.voltage: missing, expected a voltage such as '230 V'",
        "made_for.voltage: missing, expected a voltage such as '230 V'",
        "made_for.frequency: missing, expected a frequency such as '50 Hz'",
        "winding.1.name: missing, expected text in quotes",
        "winding.1.role: missing, expected 'primary' or 'secondary'",
    ]


@pytest.mark.parametrize("address", ["scpi@", "@/dev/ttyUSB0", "@", "scpi/dev/ttyUSB0", ""])
def test_an_address_without_profile_or_port_is_told_before_it_is_used(tmp_path: Path, address: str) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(f'schema = 1\n[[counter]]\nname = "c"\nuse = "{address}"\n')
    with pytest.raises(FileProblem, match=r"counter\.c\.use: .* is no instrument, expected PROFILE@PORT such as hall@"):
        read_bench_file(path)

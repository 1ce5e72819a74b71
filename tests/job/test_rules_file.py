"""A workshop's own limits: only what differs, and each with where it comes from."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.file import FileProblem
from bench.job.profiles import known, load_table
from bench.job.rules_file import rules_of


def _own(folder: Path, text: str) -> dict[str, object]:
    (folder / "ours.toml").write_text(f"schema = 1\n{text}", encoding="utf-8")
    return rules_of("ours.toml", folder)


def test_a_shipped_table_is_found_by_its_name() -> None:
    assert rules_of("small-mains") == load_table("limits", "small-mains")


def test_only_what_differs_is_said(tmp_path: Path) -> None:
    rules = _own(tmp_path, '[ratio]\ntolerance = 0.005\nbasis = "ours: half a percent since 2019"\n')
    usual = load_table("limits", "small-mains")["ratio"]
    assert rules["ratio"] == {**usual, "tolerance": 0.005, "basis": "ours: half a percent since 2019"}
    assert rules["stack"] == load_table("limits", "small-mains")["stack"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[ratio]\ntolerance = 0.005\n", "ratio: tolerance without basis, expected where the limit comes from"),
        ('[ratios]\ntolerance = 0.005\nbasis = "x"\n', "ratios: unknown table, did you mean 'ratio'?"),
        ('[ratio]\ntolerence = 0.005\nbasis = "x"\n', "ratio.tolerence: unknown key, did you mean 'tolerance'?"),
        ('[ratio]\ntolerance = "1 %"\nbasis = "x"\n', "ratio.tolerance: '1 %', expected a number of 0 or more"),
        ('[ratio]\ntolerance = -1.0\nbasis = "x"\n', "expected a number of 0 or more"),
        ("ratio = 3\n", "ratio: 3, expected a table of limits"),
        ('over = "large"\n', "over: 'large', expected one of"),
        ('[exciting]\npoints = []\nbasis = "x"\n', "expected a list of numbers"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(FileProblem) as problem:
        _own(tmp_path, text)
    (line,) = problem.value.lines
    assert said in line
    assert "ours.toml" in line


def test_an_unknown_name_lists_those_that_exist() -> None:
    with pytest.raises(FileProblem, match="small-mains"):
        rules_of("smal-mains")


def _says_where_it_comes_from(table: dict[str, object]) -> bool:
    """By itself, or in each of the tables in it."""
    if any("basis" in key or key == "source" for key in table):
        return True
    inner = [one for one in table.values() if isinstance(one, dict)]
    return bool(inner) and all(_says_where_it_comes_from(one) for one in inner)


def test_every_limit_that_ships_says_where_it_comes_from() -> None:
    for name, table in load_table("limits", "small-mains").items():
        if isinstance(table, dict) and name not in ("priors",):
            assert _says_where_it_comes_from(table), name
    assert "small-mains" in known("limits")

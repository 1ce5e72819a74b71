"""Profiles of winders: the shipped ones are sound, and what is wrong with one's own is a line each."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.profiles import known, profile_folder
from bench.workshop.winder import WinderProblem, load_winder

GENERIC = (profile_folder("winders") / "generic.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", known("winders"))
def test_a_shipped_profile_is_named_as_its_file_and_says_that_nobody_tried_it(name: str) -> None:
    winder = load_winder(name)
    assert winder.name == name
    assert "untested on hardware" in winder.about
    assert winder.turn_resolution < 0.001


def test_ones_own_is_named_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(GENERIC.replace("backlash_mm = 0.0", "backlash_mm = 0.08"), encoding="utf-8")
    assert load_winder(str(path)).traverse.backlash_mm == 0.08


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('axis = "X"', 'axis = "A"', "both axis A"),
        ('axis = "X"', 'axis = "B"', "traverse axis B is rotary"),
        ('axis = "A"', 'axis = "W"', "spindle.axis"),
        ("slow_turns_per_minute = 30.0", "slow_turns_per_minute = 300.0", "expected at most turns_per_minute 120"),
        ("slow_turns = 3", "slow_turns = 3.5", "spindle.slow_turns"),
        ("decimals = 4", "decimals = 1", "program.decimals"),
        ('units = "mm"', 'units = "inch"\n[other]\nx = 1', "other"),
        ("schema = 1", "schema = 2", "schema"),
        ("longest_line = 80", "longest_line = 300", "longest_line"),
        ("units_per_turn = 360.0", "units_per_turn = 0", "units_per_turn"),
    ],
)
def test_what_is_wrong_with_a_profile_is_told(tmp_path: Path, old: str, new: str, told: str) -> None:
    path = tmp_path / "mine.toml"
    assert old in GENERIC
    path.write_text(GENERIC.replace(old, new), encoding="utf-8")
    with pytest.raises(WinderProblem, match=told) as problem:
        load_winder(str(path))
    assert str(path) in str(problem.value)


def test_decimals_too_few_for_the_wire_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        GENERIC.replace('units = "mm"', 'units = "inch"').replace("decimals = 4", "decimals = 2"), encoding="utf-8"
    )
    with pytest.raises(WinderProblem, match=r"2 decimals tell 0\.254 mm"):
        load_winder(str(path))


def test_a_name_that_is_not_known_lists_those_that_are() -> None:
    with pytest.raises(WinderProblem, match="expected one of generic, two-linear, or a profile's file"):
        load_winder("../jobs/gate-opener")
    with pytest.raises(WinderProblem, match="no such file"):
        load_winder("nowhere.toml")

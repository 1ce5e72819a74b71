"""Varnish and bake, as they are typed or given by options, before and after a test that accepted the unit."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from tests.cli.conftest import Ended
from tests.cli.running import written

Run = Callable[..., Ended]

ALL = "Brown 12\n7/26\nnone\ndip\n1250 g\n80 C 3 h\n30 min\n90 C 6 h\n\n1290 g\nme\n\n\n"


@pytest.fixture
def job(tmp_path: Path) -> str:
    text = 'schema = 1\n[identity]\nnumber = "V-1"\n[targets]\ntemperature_class = "A"\n'
    return written(tmp_path / "job.toml", text)


def a_test_ended(verdict: str, **more: Any) -> None:
    with Store(store_path()) as store:
        store.append("V-1", Kind.RESULT, {"verdict": verdict, "steps": [], **more})


def bodies(run: Run, job: str) -> list[dict[str, Any]]:
    entries = json.loads(run("record", job, "--json").out)["entries"]
    return [one["body"] for one in entries if one["kind"] == "varnish"]


def answers(run: Run, job: str) -> dict[str, str]:
    document = json.loads(run("varnish", job, "--json").out)
    return {key: one["value"] for key, one in document["answers"].items()}


# -- whether it may begin ----------------------------------------------------------------------------------


def test_an_accepted_unit_is_varnished_and_told_what_to_test_again(run: Run, job: str, home: Path) -> None:
    a_test_ended("accepted")
    ended = run("varnish", job, typed=ALL)
    assert ended.status == 0, ended.out + ended.error
    for told in (
        "fumes of varnish and thinner burn",
        "No kitchen oven",
        "Gloves",
        "goggles",
        "not above about 90 °C",
        "40.0 g of varnish, 3.2 %",
        "Test again once it is cold",
        "resistance of every winding: within 1 %",
    ):
        assert told in ended.out
    assert answers(run, job) == {
        "varnish": "Brown 12", "batch": "7/26", "thinner": "none", "method": "dip", "mass_before": "1250 g",
        "predry": "80 °C 3 h", "drain": "30 min", "bake 1": "90 °C 6 h", "mass_after": "1290 g", "by": "me",
    }  # fmt: skip


def test_an_untested_unit_is_not_begun_without_a_reason(run: Run, job: str) -> None:
    ended = run("varnish", job, typed="\n")
    assert ended.status == 2
    assert "Not ready: no acceptance test of the rewound unit is recorded" in ended.out
    assert "varnish, by its full name" not in ended.out
    by_options = run("varnish", job, "--varnish", "Brown 12")
    assert by_options.status == 2
    assert "nothing was kept: no acceptance test" in by_options.error
    assert run("record", "V-1").status == 3  # nothing at all is in the record


@pytest.mark.parametrize("verdict", ["rejected", "undecided", "incomplete"])
def test_what_the_last_test_said_is_told_and_a_typed_reason_is_kept(run: Run, job: str, verdict: str) -> None:
    a_test_ended("accepted")
    a_test_ended(verdict)
    ended = run("varnish", job, typed=f"85 Mohm\nthe owner knows it\n{ALL}")
    assert f"the last acceptance test ended {verdict}" in ended.out
    assert "'85 Mohm' is no reason" in ended.out
    assert bodies(run, job)[0] == {
        "part": "begun although", "standing": f"the last acceptance test ended {verdict}",
        "because": "the owner knows it",
    }  # fmt: skip
    assert "because: the owner knows it" in run("record", job).out


def test_a_reason_by_option_is_kept_and_not_wanted_twice(run: Run, job: str) -> None:
    first = run("varnish", job, "--varnish", "Brown 12", "--go-on-because", "only the primary was rewound")
    assert "No kitchen oven" in first.out
    assert bodies(run, job)[0]["because"] == "only the primary was rewound"
    assert run("varnish", job, "--method", "dip", "--bake", "90 C 6 h").status == 0
    assert run("varnish", job, "--go-on-because", "ok").status == 3


def test_varnished_once_more_it_is_asked_again_whether_the_unit_is_ready(run: Run, job: str) -> None:
    run("varnish", job, "--varnish", "Brown 12", "--go-on-because", "only the primary was rewound")
    assert run("varnish", job, "--anew", "--varnish", "Clear").status == 2
    assert answers(run, job) == {"varnish": "Brown 12"}
    a_test_ended("accepted")
    run("varnish", job, "--anew", "--varnish", "Clear")
    assert answers(run, job) == {"varnish": "Clear"}


# -- typed and by options ----------------------------------------------------------------------------------


def test_wrong_units_and_nonsense_are_asked_again(run: Run, job: str, home: Path) -> None:
    a_test_ended("accepted")
    typed = "\n\n\nspray\nbrush\n1250\n1,25 kg\n80\n\n30 mm\n\n90\n900 C 6 h\n105 °C, 4 h\n90 C\n\n1,2 kg\n\n\n\n"
    ended = run("varnish", job, typed=typed)
    assert ended.status == 2
    for told in ("'spray': expected dip, brush, pour or vacuum", "'1250' has no unit, expected a mass",
                 "'80' is no temperature with a time", "'30 mm' is a length, expected a time",
                 "expected from 30 to 250 °C", "above the 90.0 °C of class A", "90 °C, without its time",
                 "50.0 g lighter than before", "Not answered: varnish."):  # fmt: skip
        assert told in ended.out
    kept = {"method": "brush", "mass_before": "1,25 kg", "bake 1": "105 °C 4 h", "bake 2": "90 °C"}
    assert answers(run, job) == {**kept, "mass_after": "1,2 kg"}
    assert bodies(run, job)[-1]["warnings"] == ["too_hot_old", "no_bake_time", "lighter"]


def test_steps_of_the_bake_are_added_corrected_and_withdrawn(run: Run, job: str, home: Path) -> None:
    a_test_ended("accepted")
    run("varnish", job, "--bake", "60 C 1 h", "--bake", "90 C")
    run("varnish", job, "--bake", "2: 90 C 6 h", "--bake", "90 C 2 h")
    assert answers(run, job) == {"bake 1": "60 °C 1 h", "bake 2": "90 °C 6 h", "bake 3": "90 °C 2 h"}
    run("varnish", job, "--bake", "1: -")
    assert answers(run, job) == {"bake 2": "90 °C 6 h", "bake 3": "90 °C 2 h"}
    wrong = run("varnish", job, "--bake", "7: 90 C 1 h")
    assert (wrong.status, len(wrong.error.splitlines())) == (3, 1)
    assert "1 to 3" in wrong.error
    again = run("varnish", job, typed=f"{chr(10) * 7}\n\n-\n\n\nq\n")  # the third step is taken out
    assert "bake 3: 90 °C 2 h withdrawn" in run("record", job).out, again.out


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--mass-before", "-3 g"], "--mass-before '-3 g': expected from 1 g to 200 kg"),
        (["--drain", "30"], "--drain '30' has no unit, expected a time"),
        (["--bake", "hot"], "'hot' is no temperature with a time"),
        (["--method", "spray"], "--method 'spray': expected dip"),
    ],
)
def test_an_option_that_can_t_be_is_one_line(run: Run, job: str, options: list[str], told: str) -> None:
    ended = run("varnish", job, "--varnish", "Brown 12", *options, "--go-on-because", "it is a trial")
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.splitlines()) == 1
    assert answers(run, job) == {}


def test_the_document_says_what_to_test_again(run: Run, job: str, home: Path) -> None:
    a_test_ended("accepted")
    document = json.loads(run("varnish", job, "--varnish", "Brown 12", "--json").out)
    assert document["stage"] == "varnish"
    assert any("No kitchen oven" in one for one in document["cautions"])
    assert "core watts" in [one["test"] for one in document["test_again"]]


def test_who_breaks_off_in_the_middle_is_told_that_what_was_answered_is_kept(run: Run, job: str) -> None:
    a_test_ended("accepted")
    asked = subprocess.Popen(
        [sys.executable, "-m", "bench", "varnish", job],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert asked.stdin is not None
    assert asked.stdout is not None
    asked.stdin.write("Brown 12\n7/26\n")
    asked.stdin.flush()
    said = ""
    while "thinner, and how much" not in said:
        said += asked.stdout.read(1)
    asked.send_signal(signal.SIGINT)
    _, error = asked.communicate(timeout=20)
    assert asked.returncode == 130
    assert list(filter(None, error.splitlines())) == ["what was answered is kept", "interrupted"]
    assert answers(run, job) == {"varnish": "Brown 12", "batch": "7/26"}


def test_once_it_is_tested_again_before_and_after_stand_side_by_side(run: Run, job: str) -> None:
    def steps(ohms: float, megohms: float) -> list[dict[str, Any]]:
        insulation = {"id": "insulation:ht", "label": "insulation of ht", "unit": "ohm", "measured": megohms * 1e6}
        resistance = {"id": "resistance:ht", "label": "resistance of ht", "unit": "ohm", "measured": ohms}
        return [{**insulation, "uncertainty": 0.0}, {**resistance, "uncertainty": 0.1}]

    with Store(store_path()) as store:
        store.append("V-1", Kind.RESULT, {"verdict": "accepted", "steps": steps(176.1, 500)})
    run("varnish", job, typed=ALL)
    with Store(store_path()) as store:
        store.append("V-1", Kind.RESULT, {"verdict": "accepted", "steps": steps(176.3, 90)})
    ended = run("varnish", job, "--show")
    assert ended.status == 2
    assert "resistance of ht: 176.1 ohm before, 176.3 ohm after, +0.1 %\n" in ended.out
    assert "insulation of ht: 500.0 Mohm before, 90.00 Mohm after, -82.0 %: damp, or varnish" in ended.out
    document = json.loads(run("varnish", job, "--json").out)
    assert [bool(one["sign"]) for one in document["compared"]] == [True, False]

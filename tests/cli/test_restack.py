"""A core that is stacked again, as a tired person types it, or by options, or until somebody pulls the plug."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Ended
from tests.cli.running import written

Run = Callable[..., Ended]

JOB = """schema = 1
[identity]
number = "R-1"
[core]
lamination = "EI 96"
stack = "45 mm"
"""
ALL = "96\n96\n0\n0\n1x1\n45 mm\ninsulated\nin\nnone\nnone\njoined\n\n\n"
OPTIONS = (
    "--came-out", "96", "--laminations-in", "96", "--left-over", "0", "--scrapped", "0", "--interleave", "1x1",
    "--stack", "45mm", "--bolts", "insulated", "--earth", "joined",
)  # fmt: skip


@pytest.fixture
def job(tmp_path: Path) -> str:
    return written(tmp_path / "job.toml", JOB)


def bodies(run: Run, job: str) -> list[dict[str, Any]]:
    entries = json.loads(run("record", job, "--json").out)["entries"]
    return [one["body"] for one in entries if one["kind"] == "restack"]


def answers(run: Run, job: str) -> dict[str, str]:
    document = json.loads(run("restack", job, "--json").out)
    return {key: one["value"] for key, one in document["answers"].items()}


# -- typed -----------------------------------------------------------------------------------------------


def test_a_whole_restack_is_asked_kept_and_found_good(run: Run, job: str) -> None:
    ended = run("restack", job, typed=ALL)
    assert ended.status == 0, ended.out + ended.error
    assert "Laminations cut: gloves" in ended.out
    assert "Next: turnproof test JOB" in ended.out
    assert answers(run, job) == {
        "came_out": "96 E 96 I", "laminations_in": "96 E 96 I", "left_over": "0 E 0 I", "scrapped": "0 E 0 I",
        "interleave": "1x1", "stack": "45 mm", "bolts": "insulated", "wedge": "in", "band": "none", "can": "none",
        "earth": "joined",
    }  # fmt: skip


def test_nonsense_is_asked_again_with_what_is_expected(run: Run, job: str) -> None:
    ended = run("restack", job, typed="\n-4\n96,5\n96\n\n\nevery other\n2x2\n45 kg\n45,0\nmaybe\nq\n")
    for told in (
        "'-4' is less than none, expected such as 96",
        "'96,5' is no whole number",
        "'every other': expected 1x1, 2x2, 3x3, 4x4 or butt",
        "'45 kg' is a mass, expected a length",
        "taken as 45.0 mm",
        "'maybe': expected insulated, bare or none",
    ):
        assert told in ended.out
    assert answers(run, job) == {"laminations_in": "96 E 96 I", "interleave": "2x2", "stack": "45.0 mm"}


@pytest.mark.parametrize("end", ["q\n", ""])
def test_who_stops_in_the_middle_is_told_what_is_not_answered(run: Run, job: str, end: str) -> None:
    ended = run("restack", job, typed=f"96\n90\n{end}")
    assert ended.status == 2
    assert "what was answered is kept" in ended.out
    assert "Not answered: left over, interleave, stack height, bolts, earth lead." in ended.out
    assert answers(run, job) == {"came_out": "96 E 96 I", "laminations_in": "90 E 90 I"}


def test_what_is_wrong_is_told_with_what_comes_of_it_and_which_test_shows_it(run: Run, job: str) -> None:
    ended = run("restack", job, typed="96\n90\n6\n0\nbutt\n0.1 mm\n43 mm\nbare\n\ninside\nno\n\nno\n\n\n")
    assert ended.status == 2
    for told in ("6.2 % of the stack", "Stacked butt where the job says nothing and 1x1 was taken", "-4.4 %",
                 "Shown by: core w", "take it out before anything is fed", "earth lead is not joined"):  # fmt: skip
        assert told in ended.out
    judged = bodies(run, job)[-1]
    assert judged["part"] == "judged"
    assert {"missing_laminations", "gap", "bare_bolts", "band_inside", "not_earthed"} <= set(judged["warnings"])


def test_asked_again_it_shows_what_is_kept_and_a_correction_names_what_it_corrects(run: Run, job: str) -> None:
    run("restack", job, typed="96\n90\nq\n")
    again = run("restack", job, typed="\n96\nq\n")
    assert "90 E 90 I kept; Enter keeps it, - withdraws it" in again.out
    first, second = [one for one in bodies(run, job) if one["part"] == "laminations_in"]
    assert (first["value"], second["value"]) == ("90 E 90 I", "96 E 96 I")
    record = run("record", job)
    assert f"laminations in: 96 E 96 I, in place of entry {second['instead_of']}" in record.out
    assert "came out: 96 E 96 I" in record.out
    assert run("record", "verify", job).status == 0


def test_the_same_answer_again_is_no_new_entry(run: Run, job: str) -> None:
    run("restack", job, typed=ALL)
    before = len(bodies(run, job))
    assert run("restack", job, typed=ALL).status == 0
    assert len(bodies(run, job)) == before


def test_a_kept_answer_is_withdrawn_by_a_new_entry(run: Run, job: str) -> None:
    run("restack", job, typed="96\nq\n")
    run("restack", job, typed="-\n\nq\n")
    assert answers(run, job) == {}
    assert bodies(run, job)[2]["withdrawn"] == "96 E 96 I"


def test_a_count_ten_times_the_design_s_counts_only_on_a_yes(run: Run, tmp_path: Path) -> None:
    job = written(tmp_path / "named.toml", JOB + 'steel = "m400-50a"\n')
    ended = run("restack", job, typed="\n840\nn\n84\nq\n")
    assert "the design's stack is about 84 of each. Is 840 E 840 I right? [y/N]" in ended.out
    assert answers(run, job) == {"laminations_in": "84 E 84 I"}


def test_photographs_are_kept_and_one_that_is_not_there_is_asked_again(run: Run, job: str, tmp_path: Path) -> None:
    photo = tmp_path / "stacked core.jpg"
    photo.write_bytes(b"\xff\xd8picture")
    ended = run("restack", job, typed=f"{chr(10) * 12}{tmp_path}/none.jpg\n'{photo}'\n\n")
    assert "none.jpg: no such file, expected a photograph" in ended.out
    assert "stacked core.jpg, 9 bytes: kept as entry" in ended.out
    assert json.loads(run("restack", job, "--json").out)["photographs"] == ["picture 1.jpg"]
    assert "stage restack, name picture 1.jpg" in run("record", job).out
    assert run("restack", job, "--photo", str(photo), "--on-certificate").status in (0, 2)
    listed = run("record", "picture", job).out.splitlines()
    assert [line.rpartition("; ")[2] for line in listed] == ["not on the certificate", "on the certificate"]
    assert "of restack" in listed[1]


# -- by options ------------------------------------------------------------------------------------------


def test_without_a_keyboard_options_answer_it(run: Run, job: str) -> None:
    ended = run("restack", job, *OPTIONS, "--json")
    assert ended.status == 0, ended.out + ended.error
    document = json.loads(ended.out)
    assert document["answers"]["laminations_in"]["value"] == "96 E 96 I"
    assert [one["name"] for one in document["remarks"]] == ["no_photograph"]
    assert run("restack", job, "--laminations-in", "96 E 95 I").status == 2
    assert run("restack", job, "--laminations-in", "96").status == 0


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--laminations-in", "-96"], "--laminations-in '-96' is less than none"),
        (["--laminations-in", "0"], "--laminations-in '0': a core without laminations"),
        (["--left-over", "1e9"], "--left-over '1e9' is no count"),
        (["--stack", "45"], "--stack '45' has no unit, expected a length"),
        (["--stack", "45 m"], "--stack '45 m': expected from 3 mm to 500 mm"),
        (["--gap", "0.1mm"], "--gap: expected only with interleave butt"),
        (["--band-tested", "both", "--band", "none"], "--band-tested: expected only with a band that is fitted"),
        (["--bolts", "some tubes?"], "--bolts 'some tubes?': expected insulated, bare or none"),
        (["--note", "..."], "--note '...' says nothing"),
    ],
)
def test_an_option_that_can_t_be_is_one_line_and_nothing_is_kept(
    run: Run, job: str, options: list[str], told: str
) -> None:
    ended = run("restack", job, "--came-out", "96", *options)
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.splitlines()) == 1
    assert answers(run, job) == {}


def test_a_photograph_that_is_not_there_loses_no_answer(run: Run, job: str) -> None:
    ended = run("restack", job, "--came-out", "96", "--photo", "nowhere.jpg")
    assert ended.status == 3
    assert "nowhere.jpg: no such file" in ended.error
    assert answers(run, job) == {"came_out": "96 E 96 I"}


def test_stacked_anew_it_begins_from_nothing_and_the_earlier_time_stays_in_the_record(run: Run, job: str) -> None:
    run("restack", job, *OPTIONS)
    assert run("restack", job, "--anew", "--laminations-in", "95").status == 2
    assert answers(run, job) == {"laminations_in": "95 E 95 I"}
    assert "begun anew" in run("record", job).out
    assert "instead_of" not in [one for one in bodies(run, job) if one["part"] == "laminations_in"][-1]


def test_to_show_keeps_nothing_and_goes_with_nothing_that_keeps(run: Run, job: str) -> None:
    assert "Nothing is kept yet" in run("restack", job, "--show").out
    assert run("restack", job, "--show", "--stack", "45mm").status == 3
    run("restack", job, *OPTIONS)
    before = bodies(run, job)
    assert run("restack", job, "--show").status == 0
    assert bodies(run, job) == before


# -- pulled plugs ----------------------------------------------------------------------------------------


def test_what_was_answered_before_a_kill_is_kept(run: Run, job: str) -> None:
    asked = subprocess.Popen(
        [sys.executable, "-m", "bench", "restack", job],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert asked.stdin is not None
    assert asked.stdout is not None
    asked.stdin.write("96\n94\n")
    asked.stdin.flush()
    said = ""
    while "left over" not in said:  # the third question: two are answered
        said += asked.stdout.read(1)
    asked.send_signal(signal.SIGKILL)
    asked.communicate(timeout=20)
    assert answers(run, job) == {"came_out": "96 E 96 I", "laminations_in": "94 E 94 I"}
    assert run("record", "verify", job).status == 0
    assert run("restack", job, "--left-over", "0").status == 2  # nobody holds the job any more

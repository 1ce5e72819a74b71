"""`turnproof survey` as a person uses it: nothing, half or all of the readings, windings that come off."""

from __future__ import annotations

import json
import re
import signal
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from bench.records.lock import JobLock
from tests.cli.conftest import Ended
from tests.cli.running import written
from tests.cli.surveying import WINDINGS, record_of, uncounted
from tests.warm_start import Started

Run = Callable[..., Ended]

INSULATION = "500 V\n85 Mohm\n120 Mohm\n> 2000 Mohm\n"
RESISTANCE = "21 degC\n3.42 ohm\n176.1 ohm\n0.049 ohm\n"
VOLTS = "\n50 Hz\n97.75 V\n449.9 V\n97.80 V\n5.575 V\n"
CURVE = "20 V\n46 mA\n\n40.1 V\n64.5 mA\n\n60.2 V\n80 mA\n2.78 W\n\n"
ALL = WINDINGS + INSULATION + RESISTANCE + VOLTS + CURVE


# -- looking -----------------------------------------------------------------------------------------


def test_of_a_unit_of_which_nothing_is_known_it_says_what_to_read_first_and_in_which_order(
    run: Run, empty: str
) -> None:
    ended = run("survey", empty)
    order = ["insulation resistance", "resistance of every winding", "open-circuit volts", "exciting current"]
    places = [ended.out.index(words) for words in order]
    assert ended.status == 2
    assert places == sorted(places)
    assert "WITH the volts on the fed winding at the same moment" in ended.out
    document = json.loads(run("survey", empty, "--json").out)
    assert (document["schema"], document["survey"], len(document["read_first"])) == (1, None, 5)


@pytest.mark.parametrize("name", ["coastal-receiver", "gate-opener"])
def test_the_shipped_jobs_stand_and_agree(run: Run, name: str) -> None:
    ended = run("survey", str(example_job(name)))
    assert (ended.status, ended.error) == (0, "")
    assert "turns per volt" in ended.out
    document = json.loads(run("survey", str(example_job(name)), "--json").out)
    assert (document["schema"], document["whole"], document["disagrees"]) == (1, True, False)


def test_readings_without_a_count_are_incomplete(run: Run, gate: str) -> None:
    ended = run("survey", gate)
    assert ended.status == 2
    assert json.loads(run("survey", gate, "--json").out)["turns_per_volt"] is None


def test_a_count_that_disagrees_ends_with_2_and_is_named(run: Run, tmp_path: Path) -> None:
    text = example_job("coastal-receiver").read_text(encoding="utf-8").replace("turns = 16\n", "turns = 18\n")
    ended = run("survey", written(tmp_path / "job.toml", text))
    assert ended.status == 2
    assert "What disagrees" in ended.out
    assert "heater" in ended.out[ended.out.index("What disagrees") :]


def test_the_bench_file_says_how_good_the_meter_is(run: Run, tmp_path: Path) -> None:
    job = str(example_job("gate-opener"))
    good = written(
        tmp_path / "bench.toml",
        'schema = 1\n[[meter]]\nname = "good"\nuse = "hand"\naccuracy = { voltage_ac = "0.1 % + 1 counts" }\n',
    )

    def doubt(*more: str) -> float:
        document = json.loads(run("survey", job, "--json", *more).out)
        return float(document["windings"][1]["expected"]["u"])

    assert doubt("--bench", good) < doubt() / 2


# -- reading -----------------------------------------------------------------------------------------


def test_readings_are_typed_in_the_order_of_least_risk_and_kept(run: Run, empty: str) -> None:
    ended = run("survey", empty, "--read", typed=ALL)
    assert ended.status == 2  # nothing was counted yet
    order = ["Insulation, before", "Resistance of every", "Open-circuit volts; feed", "Mains kills", "which winding is"]
    places = [ended.out.index(words) for words in order]
    assert places == sorted(places)
    assert ended.out.index("Follow your local electrical code") < ended.out.index(order[0])
    kept = [(one["body"]["part"], one["body"].get("winding")) for one in record_of(run, empty) if "part" in one["body"]]
    assert kept == [
        *[("winding", None)] * 3,
        *[("insulation", name) for name in ("primary", "ht", "heater")],
        *[("resistance", name) for name in ("primary", "ht", "heater")],
        *[("volts", name) for name in ("ht", "heater")],
        *[("exciting", None)] * 3,
    ]
    document = json.loads(run("survey", empty, "--json").out)
    assert [one["name"] for one in document["windings"]] == ["primary", "ht", "heater"]
    assert document["insulation"]["heater"] == 2e9


def test_each_low_volt_is_told_what_it_makes_elsewhere(run: Run, empty: str) -> None:
    assert "each volt on primary makes about 4.3 V on ht" in run("survey", empty, "--read", typed=ALL).out


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("5 mm", "'5 mm' is a length, expected a resistance"),
        ("3.42", "'3.42' has no unit, expected a resistance"),
        ("0 ohm", "expected more than 0"),
        ("soso", "'soso' is no quantity, expected a resistance"),
        ("3,420 ohm", "can mean a thousand or a fraction"),
        ("-3 ohm", "expected more than 0"),
    ],
)
def test_a_reading_that_is_none_is_asked_again_with_the_reason(run: Run, empty: str, typed: str, told: str) -> None:
    ended = run("survey", empty, "--read", typed=f"{WINDINGS}{INSULATION}\n{typed}\n3.42 ohm\nq\n")
    assert told in ended.out
    assert [one["body"]["resistance"] for one in record_of(run, empty) if one["body"].get("part") == "resistance"] == [
        "3.42 ohm"
    ]


def test_a_name_that_is_none_or_stands_twice_is_asked_again(run: Run, empty: str) -> None:
    ended = run("survey", empty, "--read", typed="5 volts\nprimary\n\n\nprimary\nht\n\n\n\n\nq\n")
    assert "'5 volts' is no name, expected letters, digits" in ended.out
    assert "'primary' is named already" in ended.out
    assert "Inside first: primary, ht. Right?" in ended.out


def test_windings_that_were_named_wrongly_are_named_anew(run: Run, empty: str) -> None:
    run("survey", empty, "--read", typed="secondary\n\n\n\nn\nprimary\n\n117 V\n\ny\nq\n")
    document = json.loads(run("survey", empty, "--json").out)
    assert [one["name"] for one in document["windings"]] == ["primary"]


@pytest.mark.parametrize(
    ("insulation", "told"),
    [
        ("500 V\n85 Mohm\n2 Mohm\n120 Mohm\n", "Insulation of ht is below 10 Mohm"),
        ("500 V\n85 Mohm\n\n120 Mohm\n", "Insulation of ht was not read"),
        ("\n\n\n\n", "Insulation of primary, ht, heater was not read"),
    ],
)
def test_nothing_is_fed_past_low_or_unread_insulation(run: Run, empty: str, insulation: str, told: str) -> None:
    ended = run("survey", empty, "--read", typed=WINDINGS + insulation + RESISTANCE + "\n" + VOLTS)
    assert told in ended.out
    assert "which winding is fed" not in ended.out
    assert "volts" not in {one["body"].get("part") for one in record_of(run, empty)}


def test_a_reason_goes_past_the_gate_and_is_kept(run: Run, empty: str) -> None:
    low = "500 V\n85 Mohm\n2 Mohm\n120 Mohm\n"
    ended = run("survey", empty, "--read", typed=f"{WINDINGS}{low}{RESISTANCE}yes\n12 V from a battery\n{VOLTS}")
    assert "which winding is fed" in ended.out
    notes = [one["body"]["text"] for one in record_of(run, empty) if one["kind"] == "note"]
    assert notes == ["fed past the insulation gate because: 12 V from a battery"]


def test_insulation_of_the_job_file_opens_the_gate_too(run: Run, gate: str) -> None:
    ended = run("survey", gate, "--read", typed="\n" * 7 + "none\n")
    assert "which winding is fed" in ended.out
    assert "all the same" not in ended.out


def test_an_open_winding_is_a_note_and_no_number(run: Run, empty: str) -> None:
    run("survey", empty, "--read", typed=f"{WINDINGS}{INSULATION}\nOL\n")
    (note,) = [one["body"] for one in record_of(run, empty) if one["kind"] == "note"]
    assert note == {"text": "resistance as found: over range, open", "winding": "primary"}


def test_what_was_read_before_the_input_ended_is_kept_and_the_windings_are_not_asked_again(
    run: Run, empty: str
) -> None:
    ended = run("survey", empty, "--read", typed=WINDINGS + "500 V\n85 Mohm\n")
    assert ended.status == 2
    assert "the input ended; what was read is kept" in ended.error
    again = run("survey", empty, "--read", typed="y\n\n\n90 Mohm\n")
    assert "winding 1, its name" not in again.out
    document = json.loads(run("survey", empty, "--json").out)
    assert document["insulation"] == {"primary": 85e6, "ht": 90e6}


def test_with_json_what_is_asked_stays_out_of_the_data(run: Run, empty: str) -> None:
    ended = run("survey", empty, "--read", "--json", typed=ALL)
    assert json.loads(ended.out)["schema"] == 1
    assert "Mains kills" in ended.error


def test_control_c_while_something_may_be_fed_says_what_to_do_first(empty: str) -> None:
    reading = Started(
        "survey", empty, "--read", stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert reading.stdout is not None
    while "winding 1" not in reading.stdout.readline(40):
        pass
    reading.send_signal(signal.SIGINT)
    _, error = reading.communicate(timeout=20)
    assert reading.returncode == 130
    assert "volts to zero and unplug before you touch the unit; what was read is kept" in error


# -- both -----------------------------------------------------------------------------------------------


def test_two_programs_at_once_are_told_of_each_other(run: Run, gate: str, home: Path) -> None:
    (home / "locks").mkdir(parents=True)
    with JobLock(home / "locks", "TP-0093", "survey --strip"):
        for arguments in (["--strip", "supply24"], ["--read"]):
            ended = run("survey", gate, *arguments)
            assert ended.status == 4
            assert re.search(r"job TP-0093 is held by process \d+ .turnproof survey --strip", ended.error)
        assert run("survey", gate).status == 2
        assert run("survey", gate, "--note", "wax between the layers").status == 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--strip", "hearter"], "'hearter' is not among those as found, expected one of primary, supply24"),
        (["--strip", "probe"], "'probe' is your own search coil"),
        (["--strip", "supply24", "--counter", "hall"], "expected PROFILE@PORT"),
        (["--strip", "supply24", "--from", "-1"], "--from"),
        (["--strip", "supply24", "--read"], "--read and --strip: expected one of them at a time"),
        (["--counter", "hall@/dev/null"], "expected only with --strip WINDING"),
        (["--of", "supply24"], "--of: expected only with --note or --photo"),
        (["--read", "--meter", "yellow"], "--meter 'yellow': expected the name of a meter in the bench file"),
        (["--meter", "hand"], "--meter: expected only with --read"),
        (["--note", "x", "--of", "hearter"], "--of 'hearter': no winding of the unit, expected one of primary"),
        (["--note", "  "], "--note: 0 characters, expected from 1"),
        (["--photo", "nowhere.jpg"], "--photo nowhere.jpg: no such file"),
        (["--photo", "/dev/null"], "is no plain file"),
    ],
)
def test_what_can_t_be_done_is_one_line_and_a_status(
    run: Run, tmp_path: Path, gate: str, arguments: list[str], told: str
) -> None:
    probe = '\n[[as_found.winding]]\nname = "probe"\nsearch_coil = true\nturns = 5\n'
    job = written(tmp_path / "probed.toml", Path(gate).read_text(encoding="utf-8") + probe)
    ended = run("survey", job, *arguments)
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.splitlines()) == 1


def test_a_winding_of_a_unit_without_windings_can_t_come_off(run: Run, empty: str) -> None:
    ended = run("survey", empty, "--strip", "ht")
    assert ended.status == 3
    assert "no windings as found yet" in ended.error


def test_first_volts_come_from_the_ohms_and_the_curve_is_taken_on_the_primary(run: Run, tmp_path: Path) -> None:
    text = Path(uncounted("coastal-receiver", tmp_path)).read_text(encoding="utf-8")
    job = written(tmp_path / "unfed.toml", text[: text.index("[[as_found.volts]]")])
    # Left out: the tester's volts, four insulations, temperature, six resistances; then, with ht fed, five volts.
    typed = "\n" * 12 + "\n50 Hz\n" + "\n" * 5 + "\n20 V\n46 mA\nq\n"
    ended = run("survey", job, "--read", typed=typed)
    begin = re.search(r"Begin with at most ([\d.]+) V on ht, and on no other winding", ended.out)
    assert begin is not None
    assert 0 < float(begin[1]) <= 25
    assert "which winding is fed [ht], or none" in ended.out
    assert "which winding takes the exciting current [primary], or none" in ended.out
    assert "volts on primary (Enter when there are no more)" in ended.out


def test_the_old_windings_have_readings_of_their_own(run: Run, coastal: str) -> None:
    done = run("survey", str(example_job("coastal-receiver")), "--readings")
    assert done.status == 0, done.error
    assert "What the old windings should read on the 117 V, 60 Hz that they were made for" in done.out
    assert "turns ratio to the primary" in done.out
    assert "ht                         4.614" in done.out


def test_old_windings_that_are_not_counted_have_none(run: Run, empty: str) -> None:
    done = run("survey", empty, "--readings")
    assert done.status == 2
    assert "is not known without the windings as found" in done.out

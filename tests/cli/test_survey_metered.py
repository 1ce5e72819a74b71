"""`turnproof survey --read` through a meter on a real port, by the hand of a rehearsal of the unit as it came."""

from __future__ import annotations

import json
import re
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.requests import Excite, OperatorRequest, Take
from bench.cli.survey_metered import AsFoundSession
from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from bench.records.lock import JobLock
from tests.cli.conftest import Ended
from tests.cli.running import lines, rehearsal, turnproof, written
from tests.survey.found_bench import ALL, FoundBench, new_reading
from tests.warm_start import Started

Run = Callable[..., Ended]


@pytest.fixture
def bare(tmp_path: Path) -> str:
    """The coastal receiver as it came: windings with their plates, nothing read and nothing counted."""
    planned, mark, found = example_job("coastal-receiver").read_text(encoding="utf-8").partition("[as_found]\n")
    windings = found[found.index("[[as_found.winding]]") : found.index("[[as_found.insulation]]")]
    uncounted = re.sub(r"(?m)^turns(_within)? = .*\n", "", windings)
    return written(tmp_path / "bare.toml", f"{planned}{mark}core_kept = false\n\n{uncounted}")


def kept(run: Run, job: str, kind: str) -> list[dict[str, Any]]:
    entries = json.loads(run("record", job, "--json").out)["entries"]
    return [one["body"] for one in entries if one["kind"] == kind]


@contextmanager
def reading(job: str, meter: str, *options: str) -> Iterator[subprocess.Popen[str]]:
    """The command, asking its operator in JSON lines."""
    process = Started(
        "survey", job, "--read", "--meter", meter, "--operator", "json", *options,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()


def answer_until(
    process: subprocess.Popen[str], control: ControlPort, step: str = "", ask: str = "connect"
) -> list[dict[str, Any]]:
    """Let the hand do what is asked, up to that ask of that step, which waits for its reply; all that was said."""
    assert process.stdout is not None
    assert process.stdin is not None
    said = []
    for line in process.stdout:
        said.append(json.loads(line))
        if said[-1].get("step") == step and said[-1].get("ask") == ask:
            break
        if "ask" in said[-1]:
            process.stdin.write(control.line(said[-1]) + "\n")
            process.stdin.flush()
    return said


def reply(process: subprocess.Popen[str], ask: dict[str, Any], **answer: Any) -> None:
    assert process.stdin is not None
    process.stdin.write(json.dumps({"id": ask["id"], **answer}) + "\n")
    process.stdin.flush()


@pytest.mark.long
def test_every_reading_is_taken_and_with_the_counts_turns_per_volt_stand(run: Run, bare: str) -> None:
    with rehearsal("--as-found", "--speed", "50") as (ports, control):
        control.close()
        operator = f"rehearsal@{ports['control']}"
        done = turnproof(
            "survey", bare, "--read", "--meter", ports["meter"], "--operator", operator, "--json", timeout=120
        )
    assert done.returncode == 2, done.stderr  # nothing was counted yet
    told = lines(done.stdout)
    assert {key for one in told for key in one} == {"schema", "settling", "reading", "as_found", "result"}
    result = told[-1]["result"]
    assert (result["reading"]["ended"], result["reading"]["not_read"]) == ("", [])
    assert not result["survey"]["disagrees"]
    parts = [body["part"] for body in kept(run, bare, "as found")]
    assert [parts.count(part) for part in ("insulation", "resistance", "exciting")] == [4, 6, 8]
    assert [one["as_found"] for one in told if "as_found" in one] == kept(run, bare, "as found")
    assert len(kept(run, bare, "reading")) == len([one for one in told if "reading" in one])
    for winding, turns in (("heater", "16"), ("rectifier", "13"), ("ht", "1292"), ("primary", "280")):
        run("survey", bare, "--strip", winding, typed=f"{turns}\ndone\n")
    document = json.loads(run("survey", bare, "--json").out)
    assert document["whole"]
    assert not document["disagrees"]
    assert document["turns_per_volt"]["value"] == pytest.approx(280 / 117 / 0.996, rel=0.003)
    # Each count by itself is met by the volts of the others, to a few parts in a thousand.
    for one in document["windings"]:
        assert one["expected"]["value"] == pytest.approx(one["counted"]["turns"], rel=0.01)
        assert one["expected_from"] == "readings and counts"
    assert document["curve"]["frequency"] == 50.0


def test_a_meter_that_is_gone_in_the_middle_leaves_nothing_live_and_what_was_read_is_kept(run: Run, bare: str) -> None:
    with rehearsal("--as-found", "--speed", "50") as (ports, control), reading(bare, ports["meter"]) as process:
        said = answer_until(process, control, "found:open:rectifier")
        control.do("unplug", port="meter", seconds=3600)
        reply(process, said[-1], done=True)
        said = answer_until(process, control)
        process.wait(20)
    assert process.returncode == 4
    asks = [one for one in said if "ask" in one]
    assert [(one["ask"], one.get("volts")) for one in asks[-3:]] == [
        ("excite", "58.5 V"), ("excite", "0 V"), ("confirm", None),
    ]  # fmt: skip
    result = said[-1]["result"]["reading"]
    assert result["trouble"]
    assert result["ended"].startswith("trouble: found:open:rectifier: ")
    volts = [body for body in kept(run, bare, "as found") if body["part"] == "volts"]
    assert [body["winding"] for body in volts if float(body["fed_voltage"].split()[0]) > 50] == [
        "ht", "ht.centre", "ht.finish",
    ]  # fmt: skip
    # What stands of the others is what a few volts told.
    document = json.loads(run("survey", bare, "--json").out)
    assert len(document["nameplates"]) == 3


def test_an_operator_skips_a_winding_and_stops(run: Run, bare: str) -> None:
    with rehearsal("--as-found", "--speed", "50") as (ports, control), reading(bare, ports["meter"]) as process:
        said = answer_until(process, control, "found:resistance:rectifier")
        reply(process, said[-1], skip="can't reach it")
        said = answer_until(process, control, "found:first_power", "confirm")
        reply(process, said[-1], stop="for today")
        said = answer_until(process, control)
        process.wait(20)
    assert process.returncode == 2
    result = said[-1]["result"]["reading"]
    assert result["ended"] == "stopped: for today"
    assert {"what": "resistance of rectifier", "reason": "can't reach it"} in result["not_read"]
    assert [one["ask"] for one in said if "ask" in one] == ["confirm"]  # nothing was live: unplug, no more
    assert {body["winding"] for body in kept(run, bare, "as found") if body["part"] == "volts"} >= {"ht", "heater"}


def test_control_c_says_what_to_do_and_keeps_what_was_read(run: Run, bare: str) -> None:
    with rehearsal("--as-found", "--speed", "50") as (ports, control), reading(bare, ports["meter"]) as process:
        answer_until(process, control, "found:resistance:heater")
        process.send_signal(signal.SIGINT)
        _, error = process.communicate(timeout=20)
    assert process.returncode == 130
    assert list(filter(None, error.splitlines())) == [
        "volts to zero and unplug before you touch the unit; what was read is kept", "interrupted",
    ]  # fmt: skip
    assert len([body for body in kept(run, bare, "as found") if body["part"] == "resistance"]) == 5


def test_a_port_that_is_not_there_or_no_meter_s_is_told_before_anything_is_asked(run: Run, bare: str) -> None:
    with rehearsal("--as-found", "--speed", "50") as (ports, control):
        control.close()
        operator = f"rehearsal@{ports['control']}"
        counter = ports["counter"].replace("hall@", "scpi@")
        for meter, told in ((counter, "profile scpi)"), ("scpi@/dev/no-such-port", "/dev/no-such-port")):
            ended = run("survey", bare, "--read", "--meter", meter, "--operator", operator)
            assert ended.status == 4, ended.error
            assert told in ended.error
            assert ended.out == ""
        ended = run("survey", bare, "--read", "--meter", ports["meter"], "--operator", "rehearsal@/dev/no-such-port")
        assert ended.status == 4
    assert kept(run, bare, "as found") == []


def test_a_second_program_on_the_same_job_is_told_of_the_first(run: Run, bare: str, home: Path) -> None:
    (home / "locks").mkdir(parents=True)
    with JobLock(home / "locks", "TP-0107", "test"):
        ended = run("survey", bare, "--read", "--meter", "scpi@/dev/no-such-port", "--operator", "json")
    assert ended.status == 4
    assert re.search(r"job TP-0107 is held by process \d+ .turnproof test", ended.error)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ["--read", "--meter", "yellow"],
            "--meter 'yellow': expected the name of a meter in the bench file (none yet)",
        ),
        (["--read", "--meter", "scpi@"], "expected PROFILE@PORT"),
        (["--read", "--operator", "json"], "--operator, --go-on-because: expected only with --read and a --meter on a"),
        (["--read", "--meter", "hand", "--go-on-because", "x"], "--operator, --go-on-because: expected only with"),
        (["--read", "--wire-log", "x"], "--wire-log: expected only with --strip WINDING, or with --read and a --meter"),
        (["--meter", "scpi@/dev/null"], "--meter: expected only with --read"),
        (
            ["--read", "--meter", "scpi@/dev/null", "--operator", "nobody"],
            "--operator 'nobody': expected terminal, json",
        ),
    ],
)
def test_options_that_do_not_go_together_are_one_line(run: Run, bare: str, arguments: list[str], told: str) -> None:
    ended = run("survey", bare, *arguments)
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.splitlines()) == 1


def test_without_a_supply_or_windings_nothing_is_asked(run: Run, tmp_path: Path) -> None:
    head = 'schema = 1\n[identity]\nnumber = "E-2"\n'
    ended = run(
        "survey", written(tmp_path / "a.toml", head), "--read", "--meter", "scpi@/dev/null", "--operator", "json"
    )
    assert ended.status == 3
    assert "supply: missing, expected the voltage and frequency of the mains" in ended.error
    supplied = head + '[supply]\nvoltage = "230 V"\nfrequency = "50 Hz"\n'
    job = written(tmp_path / "b.toml", supplied)
    ended = run("survey", job, "--read", "--meter", "scpi@/dev/null", "--operator", "json")
    assert ended.status == 3
    assert "no windings as found yet" in ended.error


def test_at_a_terminal_the_windings_are_named_first_and_the_leads_are_those_of_the_old_unit(
    run: Run, bare: str, tmp_path: Path
) -> None:
    unnamed = Path(bare).read_text(encoding="utf-8").partition("[[as_found.winding]]")[0]
    job = written(tmp_path / "unnamed.toml", unnamed)
    with rehearsal("--as-found", "--speed", "50") as (ports, _):
        named = "primary\np\n117 V\nheater\n\n6.3 V\n\n\n"
        typed = f"{named}\n20 degC\n300 Mohm\n300 Mohm\n\nq\nlater\n"
        done = turnproof("survey", job, "--read", "--meter", ports["meter"], typed=typed)
        gone = turnproof("survey", bare, "--read", "--meter", ports["meter"], "--operator", "json")
    assert done.returncode == 2, done.stderr
    assert "Inside first: primary, heater. Right?" in done.stdout
    assert "primary against all the rest and the core" in done.stdout
    assert "stopped: later; what was read is kept" in done.stderr
    # The rewound unit's primary begins at tag 1, black; nobody has said that the old one does.
    assert "from primary.start to primary.start\n" in done.stdout
    assert "(black)" not in done.stdout
    # An operator who leaves is a stop.
    assert gone.returncode == 2, gone.stderr
    assert lines(gone.stdout)[-1]["result"]["reading"]["ended"] == "stopped: end of input"


def test_a_unit_that_was_not_counted_can_t_be_rehearsed_as_it_came(run: Run, bare: str, tmp_path: Path) -> None:
    ended = run("rehearse", bare, "--as-found")
    assert ended.status == 3
    assert "[[as_found.winding]] primary, ht, rectifier, heater: role or turns missing" in ended.error
    ended = run("rehearse", written(tmp_path / "e.toml", 'schema = 1\n[identity]\nnumber = "E"\n'), "--as-found")
    assert ended.status == 3
    assert "[[as_found.winding]]: role or turns missing" in ended.error


# -- the session alone -------------------------------------------------------------------------------


class Hand:
    """Does at once what is asked, and remembers it."""

    def __init__(self, bench: FoundBench) -> None:
        self.bench = bench
        self.asked: list[OperatorRequest] = []

    def ask(self, request: OperatorRequest) -> Reply:
        self.asked.append(request)
        answer = self.bench.answer(request)
        return Reply(ReplyKind.VALUE, answer) if isinstance(answer, str) else Reply(ReplyKind.DONE)


class IdealMeter:
    """The ideal bench as an instrument."""

    quantities = ALL
    volt_spans = (750.0,)
    range_error = 0.0
    test_currents: tuple[tuple[float, float], ...] = ()
    identity = "ideal"
    moves_by_hand = False
    at_once = False

    def doubt_of(self, quantity: Any, value: float) -> None:
        return None

    def wave_of(self, quantity: Any) -> WaveReading:
        return WaveReading()

    def __init__(self, bench: FoundBench) -> None:
        self.bench = bench

    def take(self, take: Take, connected: Any, live_volts: float = 0.0, seen: Any = None) -> Any:
        return self.bench.answer(take)


@pytest.mark.parametrize("problem", [OSError("disk full"), ValueError("a bug")])
def test_when_the_record_fails_in_the_middle_the_volts_are_taken_off_before_it_is_told(problem: Exception) -> None:
    bench = FoundBench()
    hand = Hand(bench)

    def keep(kind: str, body: dict[str, Any]) -> None:
        if body.get("step") == "found:open:ht":
            raise problem

    with pytest.raises(type(problem)):
        AsFoundSession(new_reading(), hand, IdealMeter(bench), keep).run()
    last = hand.asked[-1]
    assert isinstance(last, Excite)
    assert (last.winding, last.volts) == ("primary", 0.0)
    assert bench.excited is None


def test_when_the_record_fails_before_anything_is_fed_nothing_is_asked() -> None:
    bench = FoundBench()
    hand = Hand(bench)

    def keep(kind: str, body: dict[str, Any]) -> None:
        if kind == "reading":
            raise OSError("disk full")

    with pytest.raises(OSError, match="disk full"):
        AsFoundSession(new_reading(), hand, IdealMeter(bench), keep).run()
    assert not [one for one in hand.asked if isinstance(one, Excite)]

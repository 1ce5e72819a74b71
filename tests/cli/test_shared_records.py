"""Two benches of a workshop that share their records, as their commands are typed."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from bench.job.records_address import server_address
from bench.records.entry import Kind
from bench.records.server.held import hold_on_server
from bench.records.server.server import Server
from tests.cli.running import JOB, turnproof
from tests.records.postgres import Cluster

NUMBER = "TP-0107"


class Bench:
    """A bench with folders of its own."""

    def __init__(self, home: Path, url: str, name: str) -> None:
        self.url, self.home = url, home
        (home / "config").mkdir(parents=True)
        (home / "config" / "bench.toml").write_text(f'schema = 1\n[records]\nserver = "{url}"\nbench = "{name}"\n')

    def types(self, *arguments: str, typed: str = "") -> CompletedProcess[str]:
        return turnproof(*arguments, typed=typed, env={**os.environ, "TURNPROOF_HOME": str(self.home)})


@pytest.fixture
def north(tmp_path: Path, records_url: str) -> Bench:
    return Bench(tmp_path / "north", records_url, "north")


@pytest.fixture
def south(tmp_path: Path, records_url: str) -> Bench:
    return Bench(tmp_path / "south", records_url, "south")


@pytest.fixture
def server(records_url: str) -> Iterator[Server]:
    with Server(server_address(records_url), "reader") as opened:
        yield opened


def test_a_unit_begun_at_one_bench_is_gone_on_with_at_another(north: Bench, south: Bench, server: Server) -> None:
    ended = north.types("wind", JOB, "heater", "--counter", "hand", typed="=9\nq\n")
    assert "kept here, not there" not in ended.stderr
    begun = server.count(NUMBER)
    assert begun > 2

    ended = south.types("wind", JOB, "heater", "--counter", "hand", typed="q\n")
    assert f"{NUMBER}: {begun} entries came from the records server" in ended.stderr
    assert "heater: going on from 9 turns on the dial" in ended.stderr
    ended = south.types("record", "verify", NUMBER)
    assert (ended.returncode, ended.stderr) == (0, "")
    ended = south.types("record", "verify", "--server")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.startswith(f"{NUMBER}: {server.count(NUMBER)} entries, chain whole, head {server.head(NUMBER)}")

    # a note needs nobody's leave, and still follows what the other bench kept
    ended = north.types("survey", JOB, "--note", "screen looks scorched")
    assert "entries came from the records server" in ended.stderr
    assert len(server.courses(NUMBER)) == 1
    assert server.verify(NUMBER) == []


def test_a_job_gone_on_with_at_both_while_the_server_was_away_is_told(
    north: Bench, south: Bench, records_server: Cluster, records_url: str
) -> None:
    records_server.stop()
    try:
        north.types("survey", JOB, "--note", "at the north")
        south.types("survey", JOB, "--note", "at the south")
    finally:
        records_server.start()
    assert north.types("record", "forward").returncode == 0
    ended = south.types("record", "forward")
    assert ended.returncode == 0
    assert f"{NUMBER}: has entries of bench north that are not here" in ended.stdout
    ended = south.types("survey", JOB, "--note", "and on")
    assert f"{NUMBER}: bench north went on with it, too, without what was kept here; both are kept" in ended.stderr
    with Server(server_address(records_url), "reader") as server:
        courses = [server.entries_of_course(NUMBER, number) for number in (0, 1)]
        texts = [[one.body["text"] for one in course if one.kind == Kind.NOTE] for course in courses]
        assert texts == [["at the north"], ["at the south", "and on"]]
        assert server.verify(NUMBER) == []


def test_a_job_that_another_bench_works_on_is_not_begun(north: Bench, records_url: str) -> None:
    with Server(server_address(records_url), "south", "test") as other:
        hold_on_server(other, NUMBER)
        ended = north.types("wind", JOB, "heater", "--counter", "hand", typed="=9\nq\n")
    assert ended.returncode == 4
    assert ended.stderr.splitlines() == [f"job {NUMBER} is held by bench south (turnproof test)"]


def test_a_server_that_is_away_holds_nobody_up_and_gets_all_later(
    north: Bench, records_server: Cluster, records_url: str
) -> None:
    records_server.stop()
    try:
        ended = north.types("wind", JOB, "heater", "--counter", "hand", typed="=9\nq\n")
        told = ended.stderr.splitlines()
        where = server_address(records_url).words
        away = f"records server {where}: Connection refused"
        assert told[0] == f"{away}: going on with what is known here of {NUMBER}; it is brought there later"
        last = f"{NUMBER} kept here, not there yet; goes with the next entry, or by turnproof record forward"
        assert told[-1] == f"{away}: {last}"
        assert [line for line in told if "server" in line] == [told[0], told[-1]]
        kept = north.types("record", NUMBER, "--json").stdout
        ended = north.types("record", "forward")
        assert ended.returncode == 4
        assert len(ended.stderr.splitlines()) == 1
    finally:
        records_server.start()
    ended = north.types("record", "forward")
    assert ended.returncode == 0
    assert ended.stdout.splitlines()[-1] == f"{where} has all that is kept here, of 1 job"
    with Server(server_address(records_url), "reader") as server:
        assert server.head(NUMBER) in kept
    assert north.types("record", "forward").stdout.splitlines() == [f"{where} has all that is kept here, of 1 job"]


def test_an_entry_altered_on_the_server_is_named(north: Bench, records_server: Cluster, records_url: str) -> None:
    north.types("survey", JOB, "--note", "lead dress as found")
    north.types("survey", JOB, "--note", "screen looks scorched")
    records_server.ask(
        records_url.rpartition("/")[2],
        'ALTER TABLE kept DISABLE TRIGGER append_only; UPDATE kept SET body = \'{"text":"all well"}\' WHERE seq = 2',
    )
    ended = north.types("record", "verify", "--server", NUMBER)
    assert ended.returncode == 1
    assert ended.stderr.splitlines() == [f"{NUMBER}: entry 2 (note) was altered"]
    assert north.types("record", "verify", NUMBER).returncode == 0


def test_who_named_no_server_is_told_how(tmp_path: Path) -> None:
    env = {**os.environ, "TURNPROOF_HOME": str(tmp_path / "alone")}
    for command in (("record", "forward"), ("record", "verify", "--server")):
        ended = turnproof(*command, env=env)
        assert ended.returncode == 3
        assert ended.stderr.startswith("no records server is named, expected server in [records] of the bench file")


def test_a_name_that_is_none_is_one_line(tmp_path: Path) -> None:
    env = {**os.environ, "TURNPROOF_HOME": str(tmp_path), "TURNPROOF_RECORDS": "postgresql://a:secret@b/c"}
    ended = turnproof("survey", JOB, "--note", "x", env=env)
    assert ended.returncode == 3
    assert len(ended.stderr.splitlines()) == 1
    assert "a password stands in it" in ended.stderr
    assert "secret" not in ended.stderr
    file = tmp_path / "bench.toml"
    file.write_text('schema = 1\n[records]\nserver = "postgresql://a:secret@b/c"\n')
    ended = turnproof("check", str(file), env={**os.environ, "TURNPROOF_HOME": str(tmp_path)})
    assert ended.returncode == 3
    assert "records.server" in ended.stdout + ended.stderr
    assert "secret" not in ended.stdout + ended.stderr


def test_what_was_imported_reaches_the_others(north: Bench, south: Bench, server: Server, tmp_path: Path) -> None:
    alone = {**os.environ, "TURNPROOF_HOME": str(tmp_path / "alone")}
    turnproof("survey", JOB, "--note", "lead dress as found", env=alone)
    bundle = str(tmp_path / "job.zip")
    assert turnproof("record", "export", NUMBER, bundle, env=alone).returncode == 0
    ended = north.types("record", "import", bundle, "--job-file", str(tmp_path / "there.toml"))
    assert ended.returncode == 0, ended.stderr
    assert server.count(NUMBER) == 2
    ended = south.types("survey", JOB, "--note", "and on")
    assert "entries came from the records server" in ended.stderr
    assert len(server.courses(NUMBER)) == 1


def test_a_note_that_is_no_text_is_one_line(north: Bench) -> None:
    ended = north.types("survey", JOB, "--note", os.fsdecode(b"caf\xe9"))
    assert ended.returncode == 3
    assert ended.stderr.splitlines() == ["--note: holds bytes that are no UTF-8, expected text"]

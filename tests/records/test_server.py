"""The records of a workshop on a real PostgreSQL server."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import pytest

from bench.job.records_address import server_address
from bench.records.attachments import attachments_folder
from bench.records.entry import Kind
from bench.records.problem import RecordProblem, ServerAway
from bench.records.server.forwarding import fetch_job, forward_job, jobs_to_forward
from bench.records.server.server import Server
from bench.records.store import Store
from bench.sitting.attaching import keep_picture
from tests.records.postgres import Cluster

JOB = "TP-0042"


@pytest.fixture
def north(tmp_path: Path) -> Store:
    return Store(tmp_path / "north" / "records.sqlite")


@pytest.fixture
def south(tmp_path: Path) -> Store:
    return Store(tmp_path / "south" / "records.sqlite")


def serving(url: str, bench: str = "north") -> Server:
    return Server(server_address(url), bench)


def counts(store: Store, job: str, number: int, winding: str = "heater") -> None:
    for turns in range(number):
        store.append(job, Kind.COUNT, {"winding": winding, "turns": turns / 2, "said": "Ω·m \u2028 \U0001f600 \\u0000"})


def test_what_a_bench_kept_is_read_from_the_server_entry_by_entry(north: Store, records_url: str) -> None:
    counts(north, JOB, 503)
    north.append(JOB, Kind.NOTE, {"text": "lead dress as found", "nothing": "a\x00b"})
    with serving(records_url) as server:
        assert forward_job(north, server, JOB) == 504
        assert server.entries(JOB) == north.entries(JOB)
        assert server.head(JOB) == north.head(JOB)
        assert server.verify(JOB) == []
        assert server.landmarks(JOB) == north.landmarks(JOB)
        assert server.jobs() == [JOB]
        assert jobs_to_forward(north, server) == []


def test_what_was_forwarded_is_kept_once_however_often_it_is_sent(north: Store, records_url: str) -> None:
    counts(north, JOB, 3)
    with serving(records_url) as server:
        assert server.take(north.entries(JOB)[:2]) == 2
        assert server.take(north.entries(JOB)[:2]) == 0
        assert forward_job(north, server, JOB) == 1
        assert forward_job(north, server, JOB) == 0
        assert server.count(JOB) == 3


def test_a_chain_that_is_none_is_not_stored(north: Store, records_url: str) -> None:
    counts(north, JOB, 4)
    entries = north.entries(JOB)
    with serving(records_url) as server:
        for broken in (
            [replace(entries[0], body={"turns": 99})],
            [entries[0], entries[2]],
            [entries[1]],
            [replace(entries[0], at="2001-01-01")],
        ):
            with pytest.raises(RecordProblem, match="not stored"):
                server.take(broken)
        assert server.count(JOB) == 0
        assert server.take(entries) == 4


def test_the_server_itself_refuses_to_change_what_was_kept(
    north: Store, records_url: str, records_server: Cluster
) -> None:
    counts(north, JOB, 2)
    with serving(records_url) as server:
        forward_job(north, server, JOB)
    database = records_url.rpartition("/")[2]
    for statement in ("UPDATE kept SET body = '{}'", "DELETE FROM kept", "TRUNCATE kept", "DELETE FROM content"):
        with pytest.raises(Exception, match="append-only"):
            records_server.ask(database, statement)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE kept SET body = '{\"turns\":7}' WHERE seq = 2", "entry 2 (count) was altered"),
        ("DELETE FROM kept WHERE seq = 2", "entry 2 is missing"),
        ("UPDATE kept SET seq = 100 - seq WHERE seq IN (2, 3)", "does not follow the entry before it"),
    ],
)
def test_what_its_owner_changes_in_spite_of_that_is_found(
    north: Store, records_url: str, records_server: Cluster, statement: str, said: str
) -> None:
    counts(north, JOB, 4)
    database = records_url.rpartition("/")[2]
    with serving(records_url) as server:
        forward_job(north, server, JOB)
        records_server.ask(database, f"ALTER TABLE kept DISABLE TRIGGER append_only; {statement}")
        assert any(said in line for line in server.verify(JOB)), server.verify(JOB)


def test_two_benches_append_at_once_and_nothing_is_lost(north: Store, south: Store, records_url: str) -> None:
    """Each to a job of its own and both to one that neither knew of the other's part in."""
    together = threading.Barrier(2)
    failed: list[BaseException] = []

    def work(store: Store, bench: str) -> None:
        try:
            with serving(records_url, bench) as server:
                together.wait(20)
                for _ in range(25):
                    counts(store, f"TP-{bench}", 4)
                    counts(store, JOB, 2, bench)
                    forward_job(store, server, f"TP-{bench}")
                    forward_job(store, server, JOB)
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=work, args=one) for one in ((north, "north"), (south, "south"))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert not failed
    with serving(records_url) as server:
        assert server.entries("TP-north") == north.entries("TP-north")
        assert server.entries("TP-south") == south.entries("TP-south")
        courses = {one.bench: server.entries_of_course(JOB, one.number) for one in server.courses(JOB)}
        assert courses == {"north": north.entries(JOB), "south": south.entries(JOB)}
        assert server.verify(JOB) == []
        ids = [row[0] for row in server._read(_ids())]
        assert ids == sorted(ids)


def _ids() -> object:
    from sqlalchemy import select

    from bench.records.server.tables import kept

    return select(kept.c.id).order_by(kept.c.job, kept.c.course, kept.c.seq).where(kept.c.job == "TP-north")


def test_a_job_goes_on_at_another_bench(north: Store, south: Store, records_url: str, tmp_path: Path) -> None:
    counts(north, JOB, 3)
    picture = tmp_path / "screen.txt"
    picture.write_bytes(b"the screen as found")
    keep_picture(north, JOB, picture)
    with serving(records_url) as server:
        forward_job(north, server, JOB)
    with serving(records_url, "south") as server:
        assert fetch_job(south, server, JOB).new == 4
        assert fetch_job(south, server, JOB).new == 0
        south.append(JOB, Kind.NOTE, {"text": "gone on with"})
        forward_job(south, server, JOB)
    photo = south.last(JOB, Kind.PHOTO)
    assert photo is not None
    assert (attachments_folder(south.path) / photo.body["file"]).read_bytes() == b"the screen as found"
    with serving(records_url) as server:
        found = fetch_job(north, server, JOB)
        assert (found.new, found.apart) == (1, "")
        assert north.entries(JOB) == south.entries(JOB) == server.entries(JOB)


def test_a_job_gone_on_with_at_two_benches_is_told_and_kept_twice(north: Store, south: Store, records_url: str) -> None:
    counts(north, JOB, 2)
    with serving(records_url) as server:
        forward_job(north, server, JOB)
        fetch_job(south, server, JOB)
        north.append(JOB, Kind.NOTE, {"text": "at the north"})
        south.append(JOB, Kind.NOTE, {"text": "at the south"})
        south.append(JOB, Kind.NOTE, {"text": "and on"})
        forward_job(north, server, JOB)
    before = south.entries(JOB)
    with serving(records_url, "south") as server:
        forward_job(south, server, JOB)
        found = fetch_job(south, server, JOB)
        assert found.new == 0
        assert found.apart == f"{JOB}: bench north went on with it, too, without what was kept here; both are kept"
        assert south.entries(JOB) == before
        assert server.entries(JOB) == north.entries(JOB)
        assert server.entries_of_course(JOB, 1) == south.entries(JOB)
        assert server.entries_of_course(JOB, 1, after=3) == south.entries(JOB)[3:]
        # and a third bench that knows the beginning only goes on with what came first
        third = Store(south.path.with_name("third.sqlite"))
        third.take(before[:2])
        assert "bench south went on with it" in fetch_job(third, server, JOB).apart
        assert third.entries(JOB) == north.entries(JOB)


def test_a_server_that_went_away_in_the_middle_is_gone_on_with(
    north: Store, records_url: str, records_server: Cluster
) -> None:
    counts(north, JOB, 620)

    def stop(new: int) -> None:
        records_server.stop()

    server = serving(records_url)
    try:
        with pytest.raises(ServerAway):
            forward_job(north, server, JOB, stop)
        with pytest.raises(ServerAway, match=r"127\.0\.0\.1:\d+/workshop_\d+: "):
            serving(records_url)
    finally:
        server.close()
        records_server.start()
    with serving(records_url) as server:
        assert server.count(JOB) == 500
        assert jobs_to_forward(north, server) == [JOB]
        assert forward_job(north, server, JOB) == 120
        assert server.entries(JOB) == north.entries(JOB)


def test_a_picture_that_was_altered_on_the_server_is_not_taken(
    north: Store, south: Store, records_url: str, records_server: Cluster, tmp_path: Path
) -> None:
    picture = tmp_path / "stack.txt"
    picture.write_bytes(b"the stack")
    keep_picture(north, JOB, picture)
    with serving(records_url) as server:
        forward_job(north, server, JOB)
        records_server.ask(
            records_url.rpartition("/")[2],
            "ALTER TABLE content DISABLE TRIGGER append_only; UPDATE content SET bytes = 'other'",
        )
        with pytest.raises(RecordProblem, match="was altered"):
            fetch_job(south, server, JOB)
    assert south.count(JOB) == 0


@pytest.mark.parametrize("name", ["../../out.jpg", "/etc/x", "a" * 64 + "/b", "", "CON", "a" * 64 + ".jp g"])
def test_a_name_from_the_server_leads_nowhere_else(south: Store, name: str, tmp_path: Path) -> None:
    import hashlib

    from bench.records.contents import keep_content

    data = b"x"
    body = {"name": "x", "file": name, "sha256": hashlib.sha256(data).hexdigest()}
    with pytest.raises(RecordProblem, match="is not the file that its entry names"):
        keep_content(attachments_folder(south.path), body, data)
    assert not list(tmp_path.rglob("*.jp*"))


def test_records_of_a_newer_program_are_left_alone(records_url: str, records_server: Cluster) -> None:
    serving(records_url).close()
    records_server.ask(records_url.rpartition("/")[2], "UPDATE turnproof_version SET version = 9")
    with pytest.raises(RecordProblem, match="record version 9 is newer than this program, expected 1"):
        serving(records_url)


def test_two_benches_that_come_first_at_once_make_the_tables_once(records_url: str) -> None:
    failed: list[BaseException] = []

    def come() -> None:
        try:
            serving(records_url).close()
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=come) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not failed


def test_a_database_that_lacks_signs_is_refused(records_server: Cluster) -> None:
    records_server.ask("postgres", "CREATE DATABASE latin ENCODING 'LATIN1' TEMPLATE template0")
    with pytest.raises(RecordProblem, match="a database in LATIN1, expected one in UTF8"):
        serving(f"postgresql://winder@127.0.0.1:{records_server.port}/latin")


def test_what_a_bench_that_vanished_held_is_free_again_soon(records_url: str) -> None:
    """Settings of the session, which the server acts on: the cable itself can't be pulled here."""
    with serving(records_url) as server, server.asking() as connection:
        found = {
            name: connection.exec_driver_sql(f"SHOW {name}").scalar_one()
            for name in ("idle_in_transaction_session_timeout", "lock_timeout", "tcp_keepalives_idle")
        }
    assert found == {
        "idle_in_transaction_session_timeout": "30s", "lock_timeout": "10s", "tcp_keepalives_idle": "30"
    }  # fmt: skip

"""The workshop's server goes away and comes back, for moments and for an hour; benches are killed as they forward."""

from __future__ import annotations

import contextlib
import os
import random
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bench.job.records_address import server_address
from bench.records.server.server import Server
from bench.records.store import Store
from tests.campaigns.store.judging import missing, record_of, rows_of
from tests.campaigns.store.outcome import Outcome
from tests.campaigns.store.writer import Writer, writing
from tests.records.postgres import Cluster, cluster

__all__ = ["benches_killed", "server_gone"]

AWAY, BACK = ": what is kept here is sent there later", ": answers again"
_BENCHES = ("north", "south")
_SCALE = 1 / 60
"""An hour in a minute: the pauses between two tries are made shorter alike, so that as many are made in it."""
_SLOWEST_S = 2.0
"""Nothing that is kept may wait for the server: a disk takes a fraction of that."""


def server_gone(times: int, seed: int) -> Outcome:
    """Two benches keep what they count, the server's mains is pulled `times` times for moments, then for an hour."""
    outcome = Outcome("server gone, two benches")
    rng = random.Random(seed)
    longest = 0.0
    with _serving("gone") as (server, url), tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as things:
        homes = [Path(folder) / bench for bench in _BENCHES]
        away = [rng.uniform(0.0, 1.5) for _ in range(times)] + [3600 * _SCALE]
        seconds = sum(away) + 6.0 * len(away)
        writers = [
            things.enter_context(
                writing(record_of(home), seed + who, jobs=(f"J-{bench}", f"J-{bench}-2"), seconds=seconds,
                        server=(url, bench, _SCALE), pause=0.02)
            )
            for who, (bench, home) in enumerate(zip(_BENCHES, homes, strict=True))
        ]  # fmt: skip
        for writer in writers:
            writer.wait_for_first()
        for span in away:
            time.sleep(rng.uniform(0.2, 2.0))
            server.stop()
            time.sleep(span)
            server.start()
            outcome.tries += 1
        for writer in writers:
            writer.wait()
        for bench, home, writer in zip(_BENCHES, homes, writers, strict=True):
            outcome.stored += len(writer.stored)
            _judge_words(outcome, bench, writer)
            outcome.lost += [f"{bench}: {line}" for line in missing(writer.stored, rows_of(record_of(home)))]
            longest = max([longest, *(one.took for one in writer.stored)])
        outcome.lost += _not_there(url, homes)
    outcome.note = f"one of them for an hour, in a minute; longest wait of an entry {longest:.2f} s"
    if longest > _SLOWEST_S:
        outcome.unclear.append(f"an entry waited for {longest:.1f} s")
    return outcome


def benches_killed(times: int, seed: int) -> Outcome:
    """A bench is killed while it forwards; the next program on it sends what is not there yet, each entry once."""
    outcome = Outcome("bench killed while it forwards")
    rng = random.Random(seed)
    with _serving("killed") as (_, url), tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "north"
        stored = []
        for number in range(times):
            with writing(record_of(home), seed + number, server=(url, "north", _SCALE)) as writer:
                writer.wait_for_first()
                time.sleep(rng.uniform(0.0, 0.6))
                writer.kill()
                stored += writer.stored
            outcome.tries += 1
        with writing(record_of(home), seed, most=1, server=(url, "north", _SCALE)) as writer:
            writer.wait()
            stored += writer.stored
            _judge_words(outcome, "the next program", writer)
        outcome.stored = len(stored)
        outcome.lost += missing(stored, rows_of(record_of(home)))
        outcome.lost += _not_there(url, [home])
    return outcome


@contextlib.contextmanager
def _serving(name: str) -> Iterator[tuple[Cluster, str]]:
    with cluster() as server:
        before = os.environ.get("PGPASSWORD")
        os.environ["PGPASSWORD"] = server.password
        try:
            yield server, server.make(name)
        finally:
            if before is None:
                del os.environ["PGPASSWORD"]
            else:
                os.environ["PGPASSWORD"] = before


def _judge_words(outcome: Outcome, bench: str, writer: Writer) -> None:
    """Away and back, in turns, a line each; nothing else, and at its end nothing is left."""
    said = [one.words for one in writer.told if not one.last and "records server" in one.words]
    outcome.said += len(said)
    due = [AWAY if number % 2 == 0 else BACK for number in range(len(said))]
    wrong = [line for line, expected in zip(said, due, strict=True) if not line.endswith(expected)]
    left = [one.words for one in writer.told if one.last]
    outcome.unclear += [f"{bench}: {line}" for line in (*wrong[:3], *left)]


def _not_there(url: str, homes: list[Path]) -> list[str]:
    """Entries of the benches that the server lacks or has otherwise or twice, and what is wrong with its chains."""
    problems = []
    with Server(server_address(url), "judge") as server:
        for home in homes:
            with Store(record_of(home)) as store:
                for job in store.jobs():
                    if server.entries(job) != store.entries(job):
                        problems.append(f"{job}: {store.count(job)} entries on the bench, {server.count(job)} there")
                    problems += [f"{job}: {len(server.courses(job))} courses"] * (len(server.courses(job)) != 1)
                    problems += server.verify(job)
    return problems

"""An import that is killed at any step: nothing of the record is there, or all of it, and the next import mends it."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from bench.records.attachments import attachments_folder
from bench.records.exchange.bundle import contents_of, write_bundle
from bench.records.exchange.incoming import incoming
from bench.records.exchange.taking import take
from bench.records.store import Store
from bench.sitting.record_checked import checked
from tests.records.exchange.kept import JOB_FILE, NUMBER, keep_whole_job

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a child that was forked")


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    path = tmp_path / "b.zip"
    (tmp_path / "there").mkdir()
    with Store(tmp_path / "there" / "records.sqlite") as store, path.open("wb") as out:
        keep_whole_job(store, tmp_path)
        write_bundle(store, contents_of(store, NUMBER, JOB_FILE.read_text(encoding="utf-8"), {}), out)
    return path


def _killed_after(steps: int, bundle: Path, here: Path) -> bool:
    """Whether it was killed before its end.  A step is whatever reaches for the disk or looks at an entry."""
    child = os.fork()
    if child == 0:
        left = [steps]

        def step(*_: object) -> None:
            left[0] -= 1
            if left[0] < 0:
                os._exit(9)

        _stepping(step)
        with Store(here) as store, incoming(bundle, here.parent) as coming:
            step()
            take(store, coming)
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


def _stepping(step: object) -> None:
    import bench.records.store as store_module

    for place, name in ((os, "fsync"), (os, "replace"), (os, "chmod"), (store_module, "broken_at")):
        before = getattr(place, name)
        setattr(place, name, lambda *a, before=before, **k: (step(), before(*a, **k))[1])  # type: ignore[operator]
    commit = store_module._Writing.__exit__

    def ending(self, kind, error, trace):  # type: ignore[no-untyped-def]
        step()  # type: ignore[operator]
        commit(self, kind, error, trace)
        step()  # type: ignore[operator]

    store_module._Writing.__exit__ = ending  # type: ignore[method-assign]


def test_killed_at_every_step_it_is_all_there_or_nothing_and_mends(bundle: Path, tmp_path: Path) -> None:
    with Store(tmp_path / "there" / "records.sqlite") as store:
        whole, head = store.count(NUMBER), store.head(NUMBER)
    killed, seen = 0, set()
    steps = 0
    while True:
        here = tmp_path / f"here{steps}" / "records.sqlite"
        here.parent.mkdir()
        if not _killed_after(steps, bundle, here):
            break
        killed += 1
        with Store(here) as store:
            assert store.count(NUMBER) in (0, whole)
            seen.add(store.count(NUMBER))
            _no_half_files(here)
            with incoming(bundle, here.parent) as coming:
                take(store, coming)
            assert store.head(NUMBER) == head
            assert checked(store, NUMBER).problems == ()
        # entries are alike: of them every fortieth is enough
        steps = steps + 1 if steps < 12 or steps >= whole - 2 else min(steps + 40, whole - 2)
    assert killed > 15
    assert seen == {0, whole}


def _no_half_files(here: Path) -> None:
    for path in attachments_folder(here).glob("*"):
        if not path.name.startswith(".part-"):
            assert hashlib.sha256(path.read_bytes()).hexdigest() == path.stem
    assert not list((here.parent / "lines").rglob("*.jsonl")) or Store(here).count(NUMBER)

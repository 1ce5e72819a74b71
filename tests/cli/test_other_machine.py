"""A job that moves: half wound and half tested on one machine, gone on with on another, and brought back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from tests.cli.running import JOB, rehearsal, turnproof
from tests.cli.test_killed_tests import BENCH, Fixture

NUMBER = "TP-0107"
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d4944415478da63646060f80f00010401005fe5c34b"
    "0000000049454e44ae426082"
)


class Machine:
    """A folder of its own for the record, and one for the work."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.work = folder / "work"
        self.work.mkdir(parents=True)
        self._home = folder / "home"
        self._patch = monkeypatch

    def sits(self) -> None:
        self._patch.setenv("TURNPROOF_HOME", str(self._home))
        self._patch.chdir(self.work)

    def run(self, *arguments: str, typed: str = "") -> str:
        self.sits()
        done = turnproof(*arguments, typed=typed, timeout=120)
        assert done.returncode in (0, 2), (arguments, done.stderr)
        assert "Traceback" not in done.stderr
        return done.stdout

    def head(self) -> str:
        return self.run("record", "verify", NUMBER).strip()


@pytest.mark.long
def test_a_job_opens_on_another_machine_goes_on_there_and_comes_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, other = Machine(tmp_path / "a", monkeypatch), Machine(tmp_path / "b", monkeypatch)
    for one in (first, other):
        (one.work / "bench.toml").write_text(BENCH)
    (first.work / "core.png").write_bytes(PNG)
    bundle = str(tmp_path / "tp.zip")
    # half a winding and half a test
    first.run("survey", JOB, "--photo", "core.png")
    first.run("wind", JOB, "primary", "--counter", "hand", typed="88\n88\n")
    with rehearsal("--speed", "100", "--seed", "4") as (ports, control):

        def command(job: str) -> list[str]:
            return ["test", job, "--meter", ports["meter"], "--operator", "json", "--bench", "bench.toml"]

        first.sits()
        begun = Fixture(control, command(JOB), 3)
        assert begun.sitting(25) is None
        first.run("record", "export", JOB, bundle)

        looked = other.run("record", "import", bundle, "--look")
        assert "here: nothing of it yet" in looked
        assert "pictures and certificates: 1" in looked
        assert "no records yet" in other.run("record")
        other.run("record", "import", bundle, "--job-file", "mine.toml")
        assert first.head() == other.head()
        assert (other.work / "mine.toml").read_text() == Path(JOB).read_text()
        assert (other.work / "mine-profiles" / "steels" / "m400-50a.toml").exists()

        # the test goes on where it was broken off, and asks for nothing twice
        gone_on = Fixture(control, command("mine.toml"), 3)
        other.sits()
        result = gone_on.sitting(None)
    assert result is not None
    assert result["verdict"] == "accepted"
    assert gone_on.first_asks[0]["step"] == "resumed"
    assert len(set(begun.entered) & set(gone_on.entered)) <= 1
    # and so does the winding
    wound = other.run("wind", "mine.toml", "primary", "--counter", "hand", typed="88\n88\n88\n88\n88\n46\n")
    assert "turns in layer 3 (sheet: 88):   264 turns" in wound
    last = json.loads(other.run("record", NUMBER, "--json"))["entries"][-1]
    assert (last["kind"], last["body"]["turns"]) == ("winding done", 662.0)

    other.run("record", "certificate", "mine.toml", "c.html")
    other.run("record", "export", "mine.toml", bundle, "--over")
    assert "entries; " in first.run("record", "import", bundle, "--look")
    first.run("record", "import", bundle)
    assert first.head() == other.head()
    first.run("record", "certificate", JOB, "c.html")
    assert (first.work / "c.html").read_bytes() == (other.work / "c.html").read_bytes()
    assert "was here already" in first.run("record", "import", bundle)

    # gone on with at both places: neither is mixed into the other
    for one, text in ((first, "varnished here"), (other, "varnished there")):
        one.sits()
        with Store(store_path()) as store:
            store.append(NUMBER, Kind.NOTE, {"text": text})
    other.run("record", "export", NUMBER, bundle, "--over")
    first.sits()
    before = turnproof("record", NUMBER, "--json").stdout
    refused = turnproof("record", "import", bundle)
    assert refused.returncode == 3
    assert "gone on with at two places, and nothing is taken" in refused.stderr
    assert len(refused.stderr.splitlines()) == 1
    assert json.loads(turnproof("record", NUMBER, "--json").stdout) == json.loads(before)

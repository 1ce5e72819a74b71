"""A kept test judged again: by its own record to the same verdicts and limits, by today's rules to what they say."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench.acceptance.requests import Connect, Take
from bench.job import profiles
from bench.job.profiles import example_job, profile_folder
from bench.records.entry import Kind
from bench.records.kept_profiles import Content, keep_contents
from bench.records.read_only import ReadOnlyRecords
from bench.records.store import Store
from bench.sitting.grounds import grounds_of
from bench.sitting.judge_again import NOT_READ, JudgedAgain, judge_again
from bench.sitting.judged_compared import changed_rules, changed_tables, judged_document, judged_lines, steps_compared
from bench.sitting.kept_tests import chosen_test, kept_tests
from bench.sitting.problems import BadInput
from drivers.profile_files import meter_profile_in, profile_text
from drivers.reading import Quantity
from tests.cli.running import turnproof
from tests.sitting.dry_hand import DryHand, Gone, keep_test

JOB = "TP-0107"


def _heater_low(take: Take, connected: Connect, value: float) -> float:
    """The heater gives a tenth too little, wherever it is read in volts."""
    return (
        0.9 * value if connected.winding == "heater" and take.step.startswith(("ratio", "open", "nominal")) else value
    )


def _mains(factor: float) -> Any:
    """What was read under the mains of one sitting tells nothing of the next."""

    def change(take: Take, connected: Connect, value: float) -> float:
        return factor * value if take.quantity is Quantity.VOLTAGE_AC else value

    return change


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two tests: one of a good unit, one of a unit with a weak heater and a skip."""
    path = tmp_path_factory.mktemp("records") / "records.sqlite"
    with Store(path) as store:
        store.append(JOB, Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0})
        keep_test(store)
        keep_test(store, hand=DryHand(skipped={"stack_height": "no rule at hand"}), change=_heater_low, anew=True)
    return path


def _test_of(path: Path, number: int | None = None) -> Any:
    with ReadOnlyRecords(path) as records:
        return chosen_test(records.landmarks(JOB), JOB, number)


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the shipped tables that may be changed."""
    folder = tmp_path / "profiles"
    shutil.copytree(profile_folder("limits").parent, folder)
    monkeypatch.setattr(profiles, "profile_folder", lambda kind: folder / kind)
    monkeypatch.setattr("bench.job.procedure_file.profile_folder", lambda kind: folder / kind)
    _forget()
    yield folder
    monkeypatch.undo()
    _forget()


def _forget() -> None:
    profiles._shipped_text.cache_clear()
    profiles._shipped_names.cache_clear()


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    _forget()


def _same(judged: JudgedAgain) -> None:
    assert judged.then is not None
    assert json.dumps(judged.now.as_json()["steps"]) == json.dumps(judged.then.as_json()["steps"])
    assert judged.now.verdict is judged.then.verdict
    assert judged.now.as_json()["findings"] == judged.then.as_json()["findings"]
    assert judged.now.not_done == judged.then.not_done


@pytest.mark.parametrize("number", [1, 2])
def test_by_its_own_record_it_is_judged_as_then(record: Path, number: int) -> None:
    judged = judge_again(_test_of(record, number), as_then=True)
    _same(judged)
    assert judged.notes == ()
    assert len(judged.now.steps) > 40


def test_by_its_own_record_it_is_judged_as_then_where_nothing_ships_any_more(record: Path, shipped: Path) -> None:
    for kind in ("limits", "steels", "wires", "laminations", "procedures"):
        for file in (shipped / kind).glob("*.toml"):
            file.unlink()
    _forget()
    judged = judge_again(_test_of(record, 1), as_then=True)
    _same(judged)
    assert any("steels m400-50a does not ship any more" in note for note in judged.notes)
    assert not any("taken as it is today" in note for note in judged.notes)


def test_by_its_own_record_it_is_judged_as_then_where_other_tables_ship_now(record: Path, shipped: Path) -> None:
    _edit(shipped / "limits" / "small-mains.toml", "[ratio]", "[ratio]\ninvented = 1")
    _edit(shipped / "steels" / "m400-50a.toml", "[0.", "[9.")
    judged = judge_again(_test_of(record, 1), as_then=True)
    _same(judged)
    assert changed_rules(judged) == ()
    assert "steels m400-50a" in changed_tables(judged)


def test_today_s_limits_are_told_with_what_they_change(record: Path, shipped: Path) -> None:
    text = (shipped / "limits" / "small-mains.toml").read_text(encoding="utf-8")
    tolerance = profiles.load_table("limits", "small-mains")["ratio"]["tolerance"]
    assert f"tolerance = {tolerance}" in text
    _edit(shipped / "limits" / "small-mains.toml", f"tolerance = {tolerance}", "tolerance = 0.0001")
    judged = judge_again(_test_of(record, 1))
    changed = {one.key: (one.then, one.now) for one in changed_rules(judged)}
    assert (tolerance, 0.0001) in changed.values()
    different = [one for one in steps_compared(judged) if one.differs]
    assert different
    assert any("limit" in words for one in different for words in one.differs)
    lines = judged_lines(judged)
    assert any("0.0001 now" in line for line in lines)
    assert lines[-1].endswith("Nothing was written.")


def test_what_today_s_procedure_asks_for_and_nobody_read_is_not_done(record: Path, shipped: Path) -> None:
    _edit(shipped / "procedures" / "before-varnish.toml", '[[step]]\nkind = "insulation"',
          '[[step]]\nown = { name = "mass", text = "Weigh it.", unit = "kg", upper = 3.0, basis = "workshop" }\n'
          'required = true\n\n[[step]]\nkind = "insulation"')  # fmt: skip
    judged = judge_again(_test_of(record, 1))
    assert [(one.id, one.reason) for one in judged.now.not_done if one.reason == NOT_READ] == [("mass", NOT_READ)]
    assert judged.now.verdict == "incomplete"


def test_a_workshop_s_own_limits(record: Path, tmp_path: Path) -> None:
    own = tmp_path / "ours.toml"
    own.write_text('schema = 1\n[stack]\ntolerance = 0.001\nbasis = "ours"\n', encoding="utf-8")
    table = profiles.load_table("limits", "small-mains")
    section = next(name for name in table if "stack" in name)
    key = next(key for key, value in table[section].items() if isinstance(value, float))
    basis = next((name for name in table[section] if "basis" in name), "basis")
    own.write_text(f'schema = 1\n[{section}]\n{key} = 1e-9\n{basis} = "ours"\n', encoding="utf-8")
    judged = judge_again(_test_of(record, 1), rules_file=own)
    assert any(one.key == f"{section}.{key}" and "ours" in one.basis_now for one in changed_rules(judged))
    with pytest.raises(BadInput, match=r"expected a \.toml file, or one of"):
        judge_again(_test_of(record, 1), rules_file=Path("nothing"))
    with pytest.raises(BadInput, match="--rules survey: are no limits of a test"):
        judge_again(_test_of(record, 1), rules_file=Path("survey"))


def test_broken_off_and_gone_on_with_it_is_judged_as_then(tmp_path: Path) -> None:
    with Store(tmp_path / "records.sqlite") as store:
        for killed, mains in (("insulation", 1.0), ("open_circuit:rectifier", 1.01), ("open_circuit:heater", 0.985)):
            with pytest.raises(Gone):
                keep_test(store, hand=DryHand(killed=killed), change=_mains(mains))
        keep_test(store, change=_mains(1.02))
        tests = kept_tests(store.landmarks(JOB))
    assert len(tests) == 1
    judged = judge_again(tests[0], as_then=True)
    assert judged.then is not None
    assert [one for one in steps_compared(judged) if one.differs] == []
    assert judged.now.verdict is judged.then.verdict


def test_stopped_by_the_person_it_is_judged_as_then(tmp_path: Path) -> None:
    with Store(tmp_path / "records.sqlite") as store:
        keep_test(store, hand=DryHand(stops="ratio"))
        test = kept_tests(store.landmarks(JOB))[0]
    _same(judge_again(test, as_then=True))


def test_the_test_after_varnish_has_the_readings_before_it_beside_it(tmp_path: Path) -> None:
    with Store(tmp_path / "records.sqlite") as store:
        keep_test(store)
        store.append(JOB, Kind.VARNISH, {"part": "varnish", "text": "polyester"})
        keep_test(store)
        tests = kept_tests(store.landmarks(JOB))
    assert [one.procedure for one in tests] == ["before varnish", "after varnish"]
    _same(judge_again(tests[1], as_then=True))


def test_an_older_record_is_judged_by_today_s_rules_and_says_so(tmp_path: Path) -> None:
    with Store(tmp_path / "new.sqlite") as new, Store(tmp_path / "old.sqlite") as old:
        keep_test(new)
        for entry in new.landmarks(JOB):
            if entry.kind != Kind.PROFILES:
                body = {
                    key: value for key, value in entry.body.items() if key not in ("judged_by", "accuracy", "profile")
                }
                old.append(JOB, Kind(entry.kind), body)
        judged = judge_again(kept_tests(old.landmarks(JOB))[0], as_then=True)
    assert "keeps no limits, steels and procedure of then" in judged.notes[0]
    assert judged.then is not None
    assert {one.id for one in judged.now.steps} >= {
        one.id for one in judged.then.steps if one.id.startswith("resistance")
    }


def test_readings_kept_without_what_was_asked_can_t_be_judged(tmp_path: Path) -> None:
    with Store(tmp_path / "records.sqlite") as store:
        store.append(JOB, Kind.JOB_FILE, {"file": "a.toml", "text": example_job("coastal-receiver").read_text("utf-8")})
        store.append(JOB, Kind.READING, {"step": "frequency", "value": 50.0})
        with pytest.raises(BadInput, match="can't be judged again"):
            judge_again(kept_tests(store.landmarks(JOB))[0])


def test_the_command_writes_nothing(record: Path, home: Path) -> None:
    data = home / "data"
    data.mkdir(parents=True)
    shutil.copy(record, data / "records.sqlite")
    before = (data / "records.sqlite").read_bytes()
    (data / "records.sqlite").chmod(0o444)
    data.chmod(0o555)
    try:
        done = turnproof("record", "judge", JOB, "--test", "1", "--as-then", "--json")
        assert done.returncode == 2, done.stderr
        document = json.loads(done.stdout)
        assert (document["schema"], document["test"], document["by"]) == (1, 1, "the record")
        assert document["verdict"] == {"then": "undecided", "now": "undecided"}
        assert [one for one in document["steps"] if one["differs"]] == []
        assert turnproof("record", "judge", JOB, "--test", "3").returncode == 3
    finally:
        data.chmod(0o755)
    assert (data / "records.sqlite").read_bytes() == before
    assert [one.name for one in data.iterdir()] == ["records.sqlite"]


def test_the_document_holds_both(record: Path) -> None:
    judged = judge_again(_test_of(record, 2))
    document = json.loads(json.dumps(judged_document(judged)))
    assert document["verdict"]["then"] == document["verdict"]["now"] == "rejected"
    assert document["findings"]["then"] == document["findings"]["now"]
    assert {"id": "stack_height", "reason": "no rule at hand"}.items() <= document["not_done"]["now"][0].items()


def test_the_meter_is_the_one_of_then_with_its_calibration(tmp_path: Path) -> None:
    """Its profile as it was kept, and the accuracy of the bench file of then, not what either says today."""
    text = profile_text("scpi", "meters")
    then = Content("meters", "scpi", text.replace("full_scale_V = 1.0", "full_scale_V = 1.5"))
    bench = Content("bench", "bench.toml", BENCH_OF_THEN)
    with Store(tmp_path / "records.sqlite") as store:
        store.append(JOB, Kind.JOB_FILE, {"file": "a.toml", "text": "schema = 1"})
        keep_contents(store, JOB, [then, bench])
        meter = {"what": "meter", "name": "desk", "use": "scpi@/dev/gone", "profile": {"sha256": then.sha256}}
        store.append(JOB, Kind.INSTRUMENT, meter)
        store.append(JOB, Kind.TEST_BEGUN, {"procedure": "before varnish", "judged_by": {"bench": bench.sha256}})
        grounds = grounds_of(kept_tests(store.landmarks(JOB))[0], as_then=True)
    instrument = grounds.instrument(50.0)
    kept = meter_profile_in(then.text, "kept").functions[Quantity.VOLTAGE_AC].ranges
    assert 1.5 in instrument.volt_spans
    assert instrument.volt_spans == tuple(one.full_scale for one in kept)
    assert instrument.range_error == pytest.approx(0.07)
    # gain 5 % and 7 % of the range that takes 1 V, rectangular (JCGM 100:2008, 4.3.7), noise and digits far below
    span = next(one.full_scale for one in kept if one.full_scale >= 1.0)
    due = math.hypot(0.05 * 1.0, 0.07 * span) / math.sqrt(3)
    assert instrument.doubt_of(Quantity.VOLTAGE_AC, 1.0) == pytest.approx(due, rel=1e-3)


BENCH_OF_THEN = """\
schema = 1

[[meter]]
name = "desk"
use = "scpi@/dev/gone"

[[meter.calibration]]
quantity = "voltage_ac"
accuracy = "5 % + 7 % of range"
"""


def test_a_meter_judged_by_another_profile_than_its_own_is_told() -> None:
    from bench.records.kept_profiles import Content
    from bench.sitting.grounds import _meter_notes

    whole = Content("meters", "scpi", load_meter_text("scpi"))
    gone, kept, spoilt = (
        {"name": "desk", "use": "scpi@/dev/ttyUSB0", "profile": {"sha256": one}} for one in ("none", "whole", "spoilt")
    )
    contents = {"whole": whole, "spoilt": Content("meters", "scpi", "no profile")}
    by_hand = {"name": "yellow", "use": "hand"}
    assert _meter_notes([kept, by_hand], contents) == []
    assert _meter_notes([gone], contents) == ["meter desk: its profile of then is not in the record: judged by today's"]
    assert _meter_notes([spoilt], contents) == [
        "meter desk: its profile can't be read here: judged as a meter that a person reads"
    ]


def load_meter_text(name: str) -> str:
    return (Path(__file__).resolve().parents[2] / "profiles" / "meters" / f"{name}.toml").read_text(encoding="utf-8")

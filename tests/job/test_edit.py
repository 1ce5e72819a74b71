"""A design goes into a person's job file: what changed and nothing else."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from bench.job.edit import Value, write_values, write_windings
from bench.job.file import FileProblem, read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.wire import parse_wire


@pytest.fixture
def path(tmp_path: Path) -> Path:
    copy = tmp_path / "job.toml"
    copy.write_text(example_job("gate-opener").read_text(encoding="utf-8"), encoding="utf-8")
    return copy


def _changed(job: Job) -> Job:
    new = {"primary": (1700, "0.18 mm", 1), "supply24": (200, "0.45 mm", 2)}
    windings = tuple(
        one.model_copy(
            update={"turns": new[one.name][0], "wire": parse_wire(new[one.name][1]), "strands": new[one.name][2]}
        )
        for one in job.winding
    )
    return job.model_copy(update={"winding": windings})


def test_turns_wire_and_strands_are_written_and_everything_else_stays(path: Path) -> None:
    read = path.read_text(encoding="utf-8")
    write_windings(path, read, _changed(read_job(path)))
    written = read_job(path)
    found = [(one.turns, one.wire.name if one.wire else "", one.strands) for one in written.winding]
    assert found == [(1700, "0.18 mm", 1), (200, "0.45 mm", 2)]
    old, new = (Counter(text.splitlines()) for text in (read, path.read_text(encoding="utf-8")))
    assert set(old - new) == {"turns = 1620", 'wire = "0.16 mm"', "turns = 190", 'wire = "26 AWG"'}
    assert set(new - old) == {"turns = 1700", 'wire = "0.18 mm"', "turns = 200", 'wire = "0.45 mm"', "strands = 2"}


def test_missing_keys_come_after_the_role_and_not_below_the_next_heading(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    bare = text.replace('turns = 190\nwire = "26 AWG"\n', "")
    path.write_text(bare, encoding="utf-8")
    write_windings(path, bare, _changed(read_job(path)))
    written = path.read_text(encoding="utf-8")
    assert 'role = "secondary"\nturns = 200\nwire = "0.45 mm"\nstrands = 2\nrated_voltage' in written


def test_layers_of_other_turns_go(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(example_job("coastal-receiver").read_text(encoding="utf-8"), encoding="utf-8")
    job = read_job(path)
    windings = tuple(
        one.model_copy(
            update={
                "turns": (one.turns or 0) + 2,
                "layers": (),
                "taps": tuple(tap.model_copy(update={"turn": tap.turn + 1}) for tap in one.taps),
            }
        )
        for one in job.winding
    )
    write_windings(path, path.read_text(encoding="utf-8"), job.model_copy(update={"winding": windings}))
    written = read_job(path)
    assert written.get_winding("ht").turns == 1556
    assert written.get_winding("ht").taps[0].turn == 778
    assert written.get_winding("ht").layers == ()
    assert written.get_winding("heater").note == "wound two in hand"


def test_a_file_that_changed_meanwhile_is_left_alone(path: Path) -> None:
    read = path.read_text(encoding="utf-8")
    job = _changed(read_job(path))
    path.write_text(read + "\n# a note\n", encoding="utf-8")
    with pytest.raises(FileProblem, match="was changed meanwhile"):
        write_windings(path, read, job)
    assert path.read_text(encoding="utf-8") == read + "\n# a note\n"


def test_a_folder_that_can_t_be_written_leaves_the_file_whole(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read = path.read_text(encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("bench.job.edit.os.fsync", full)
    with pytest.raises(FileProblem, match="No space left on device; it is as it was"):
        write_windings(path, read, _changed(read_job(path)))
    assert path.read_text(encoding="utf-8") == read
    assert [one.name for one in path.parent.iterdir()] == ["job.toml"]


def test_windings_in_another_order_are_written_in_that_order_with_all_they_hold(path: Path) -> None:
    read = path.read_text(encoding="utf-8")
    job = read_job(path)
    write_windings(path, read, job.model_copy(update={"winding": tuple(reversed(job.winding))}))
    written = read_job(path)
    assert [one.name for one in written.winding] == ["supply24", "primary"]
    assert {one.name: one for one in written.winding} == {one.name: one for one in job.winding}
    assert written.as_found == job.as_found


def test_targets_and_ratings_are_written_and_everything_else_stays(path: Path) -> None:
    read = path.read_text(encoding="utf-8")
    write_values(path, read, {"flux_density": "1.1 T", "order": "free"}, {"supply24": {"rated_current": "0.6 A"}})
    wanted = read.replace('flux_density = "1.25 T"', 'flux_density = "1.1 T"').replace('"0.5 A"', '"0.6 A"', 1)
    wanted = wanted.replace('temperature_class = "B"\n', 'temperature_class = "B"\norder = "free"\n')
    assert path.read_text(encoding="utf-8") == wanted
    assert read_job(path).targets.order == "free"


def test_a_target_is_taken_out_again(path: Path) -> None:
    write_values(path, path.read_text(encoding="utf-8"), {"flux_density": None})
    assert read_job(path).targets.flux_density is None


def test_targets_go_into_a_file_that_has_none_yet(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    bare = 'schema = 1\n[identity]\nnumber = "B-1"\n\n# the only one\n[[winding]]\nname = "p"\nrole = "primary"\n'
    path.write_text(bare, encoding="utf-8")
    write_values(path, bare, {"window_fill": 0.9, "keep": []})
    assert path.read_text(encoding="utf-8").startswith(bare)
    assert read_job(path).targets.window_fill == 0.9


def test_the_load_of_a_winding_is_written(tmp_path: Path) -> None:
    path = tmp_path / "coastal.toml"
    read = example_job("coastal-receiver").read_text(encoding="utf-8")
    path.write_text(read, encoding="utf-8")
    write_values(path, read, loads={"ht": {"current": "50 mA", "rail_voltage": "300 V"}})
    [load] = read_job(path).load
    assert (load.current, load.rail_voltage) == (0.05, 300.0)


@pytest.mark.parametrize(
    ("targets", "windings"),
    [
        ({"flux_density": "1.1 V"}, {}),
        ({"beauty": "much"}, {}),
        ({}, {"nobody": {"rated_current": "1 A"}}),
        ({"window_fill": 7.0}, {}),
    ],
)
def test_what_would_be_no_job_any_more_is_not_written(
    path: Path, targets: dict[str, Value], windings: dict[str, dict[str, Value]]
) -> None:
    read = path.read_text(encoding="utf-8")
    with pytest.raises(FileProblem):
        write_values(path, read, targets, windings)
    assert path.read_text(encoding="utf-8") == read


def test_a_target_is_not_written_over_what_somebody_wrote_meanwhile(path: Path) -> None:
    read = path.read_text(encoding="utf-8")
    theirs = read + "# mine\n"
    path.write_text(theirs, encoding="utf-8")
    with pytest.raises(FileProblem, match="changed meanwhile"):
        write_values(path, read, {"order": "free"})
    assert path.read_text(encoding="utf-8") == theirs


def test_a_file_that_its_owner_made_read_only_is_left_alone(path: Path) -> None:
    path.chmod(0o444)
    text = path.read_text(encoding="utf-8")
    with pytest.raises(FileProblem, match="can't be written: it is read-only; it is as it was"):
        write_values(path, text, {"flux_density": "1.1 T"})
    assert path.read_text(encoding="utf-8") == text

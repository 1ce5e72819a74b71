"""JSON Schemas for editors: held against a validator that nobody here wrote, and against the readers themselves."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from bench.job.bench_file import BenchFile
from bench.job.file import FileProblem, model_from
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile
from bench.job.profiles import profile_folder
from bench.job.rules_file import rules_of
from bench.job.schema import SCHEMAS, schema_of
from bench.quantities import UNITS, Dimension, QuantityError, parse, written_pattern
from tests.cli.running import turnproof

ROOT = Path(__file__).resolve().parents[2]
MODELS = {"job": Job, "bench": BenchFile, "procedure": ProcedureFile}


def _readme_bench_file() -> dict[str, Any]:
    blocks = re.findall(r"^```toml\n(.*?)^```$", (ROOT / "README.md").read_text(encoding="utf-8"), re.M | re.S)
    return tomllib.loads(next(block for block in blocks if "[[meter]]" in block))


def _shipped() -> list[tuple[str, str, dict[str, Any]]]:
    files = [("job", path) for path in sorted(profile_folder("jobs").glob("*.toml"))]
    files += [("procedure", path) for path in sorted(profile_folder("procedures").glob("*.toml"))]
    told = [(kind, path.stem, tomllib.loads(path.read_text(encoding="utf-8"))) for kind, path in files]
    return [*told, ("bench", "the README's bench file", _readme_bench_file())]


SHIPPED = _shipped()


@lru_cache
def _validator(kind: str) -> Draft202012Validator:
    return Draft202012Validator(schema_of(kind))


def complaints(kind: str, data: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in _validator(kind).iter_errors(data)]


@pytest.mark.parametrize("kind", SCHEMAS)
def test_a_schema_is_one_of_its_draft_and_names_itself(kind: str) -> None:
    schema = schema_of(kind)
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == f"urn:turnproof:schema:1:{kind}"
    assert schema["title"]
    assert schema["description"]


@pytest.mark.parametrize(("kind", "name", "data"), SHIPPED, ids=[name for _, name, _ in SHIPPED])
def test_what_ships_is_accepted(kind: str, name: str, data: dict[str, Any]) -> None:
    assert complaints(kind, data) == []


def _slips(data: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """The data with one slip at each place in turn: another key, or a value of another kind."""
    if isinstance(data, list):
        for number, one in enumerate(data):
            for where, wrong in _slips(one, f"{place}[{number}]"):
                yield where, [*data[:number], wrong, *data[number + 1 :]]
        return
    if not isinstance(data, dict):
        return
    for key, value in data.items():
        yield f"{place}.{key}: another key", {(f"{one}_x" if one == key else one): each for one, each in data.items()}
        other: Any = {"a": "table"} if isinstance(value, (str, int, float, list)) else "text"
        yield f"{place}.{key}: another kind", {**data, key: other}
        if isinstance(value, str):
            yield f"{place}.{key}: a bare number", {**data, key: 12.5}
        for where, wrong in _slips(value, f"{place}.{key}"):
            yield where, {**data, key: wrong}


@pytest.mark.parametrize(("kind", "name", "data"), SHIPPED, ids=[name for _, name, _ in SHIPPED])
def test_a_slip_of_structure_is_seen_wherever_the_reader_sees_it(kind: str, name: str, data: dict[str, Any]) -> None:
    missed, tried = [], 0
    for where, wrong in _slips(copy.deepcopy(data)):
        with pytest.raises(FileProblem):
            model_from(Path("x.toml"), wrong, MODELS[kind])
        tried += 1
        if not complaints(kind, wrong):
            missed.append(where)
    assert missed == []
    assert tried > 30


@pytest.mark.parametrize(
    ("key", "value", "accepted"),
    [
        ("rated_voltage", "6,3 V", True),
        ("rated_voltage", "6.3 volts", True),
        ("rated_voltage", "0.0063 kilovolts", True),
        ("rated_voltage", "6.3", False),
        ("rated_voltage", "6.3 A", False),
        ("rated_voltage", "1,500 V", False),  # a thousand or a fraction
        ("wire", "26 AWG", True),
        ("wire", "swg 24", True),
        ("wire", "0.4 mm", True),
        ("wire", "0.4", False),
        ("turns", "662", False),
        ("turns", 662, True),
        ("role", "tertiary", False),
        ("colour", "red", False),
    ],
)
def test_a_key_of_a_winding(key: str, value: Any, accepted: bool) -> None:
    winding = {"name": "heater", "role": "secondary", key: value}
    data = {"schema": 1, "identity": {"number": "X-1"}, "winding": [winding]}
    assert (complaints("job", data) == []) is accepted
    if accepted:
        model_from(Path("x.toml"), data, Job)
    else:
        with pytest.raises(FileProblem):
            model_from(Path("x.toml"), data, Job)


def test_both_sides_of_a_centre_tap_and_an_accuracy_are_text_of_their_own() -> None:
    found = {"name": "ht", "nameplate_voltage": "300-0-300 V"}
    job = {"schema": 1, "identity": {"number": "X-1"}, "as_found": {"winding": [found]}}
    assert complaints("job", job) == []
    meter = {"name": "y", "use": "hand", "accuracy": {"voltage_ac": "1,2 % + 3 counts"}}
    assert complaints("bench", {"schema": 1, "meter": [meter]}) == []
    meter["accuracy"] = {"voltage_ac": "good"}
    assert complaints("bench", {"schema": 1, "meter": [meter]})


def test_a_step_is_of_a_kind_or_a_workshops_own() -> None:
    step: dict[str, Any] = {"kind": "insulation"}
    data = {"schema": 1, "name": "ours", "step": [step]}
    assert complaints("procedure", data) == []
    assert complaints("procedure", {**data, "step": []})
    assert complaints("procedure", {**data, "step": [{}]})
    assert complaints("procedure", {**data, "step": [{**step, "own": {"name": "look", "text": "Look at it."}}]})


OURS = {"schema": 1, "name": "ours", "ratio": {"tolerance": 0.02, "basis": "our own"}}


@pytest.mark.parametrize(
    ("rules", "accepted"),
    [
        (OURS, True),
        ({**OURS, "over": "survey"}, False),  # which has no table ratio
        ({**OURS, "over": "large-mains"}, False),
        ({**OURS, "ratoi": {}}, False),
        ({**OURS, "ratio": {"tolerence": 0.02, "basis": "our own"}}, False),
        ({**OURS, "ratio": {"tolerance": "2 %", "basis": "our own"}}, False),
        ({**OURS, "ratio": {"tolerance": -0.02, "basis": "our own"}}, False),
        ({"name": "ours"}, False),
    ],
)
def test_rules_are_accepted_and_rejected_as_by_their_reader(
    rules: dict[str, Any], accepted: bool, tmp_path: Path
) -> None:
    lines = [f"{key} = {json.dumps(value)}" for key, value in rules.items() if not isinstance(value, dict)]
    for key, table in rules.items():
        if isinstance(table, dict):
            lines += [f"[{key}]", *(f"{inner} = {json.dumps(value)}" for inner, value in table.items())]
    (tmp_path / "ours.toml").write_text("\n".join(lines), encoding="utf-8")
    if accepted:
        rules_of("ours.toml", tmp_path)
    else:
        with pytest.raises(FileProblem):
            rules_of("ours.toml", tmp_path)
    assert (complaints("rules", rules) == []) is accepted


_NUMBERS = st.from_regex(r"[+-]?([0-9]{1,4}([.,][0-9]{0,3})?|[.,][0-9]{1,3})(e[+-]?[0-9]{1,2})?", fullmatch=True)
_UNITS = st.sampled_from(
    [*UNITS, "", "°C", "degF", "K", "F", "kilovolts", "millimetres", "grams", "pcs", "turns", "V "]
)


@given(number=_NUMBERS, space=st.sampled_from(["", " ", "\t"]), unit=_UNITS, dimension=st.sampled_from(Dimension))
def test_a_pattern_leaves_out_nothing_that_is_read(number: str, space: str, unit: str, dimension: Dimension) -> None:
    text = number + space + unit
    matched = re.search(written_pattern(dimension), text) is not None
    try:
        parse(text, dimension)
    except QuantityError:
        return
    assert matched, text


@pytest.mark.parametrize("dimension", Dimension)
def test_a_pattern_lets_through_no_unit_of_another_dimension(dimension: Dimension) -> None:
    own = {"K", "C", "F", "degC", "degF", "celsius"} if dimension is Dimension.TEMPERATURE else set()
    through = [
        unit
        for unit, (measures, _) in UNITS.items()
        if measures is not dimension and unit not in own and re.search(written_pattern(dimension), f"12.5 {unit}")
    ]
    assert through == []


def test_a_quantity_without_unit_is_let_through_nowhere() -> None:
    assert [one for one in Dimension if re.search(written_pattern(one), "12.5")] == []


def test_an_editor_is_told_what_a_key_means_and_what_is_usual() -> None:
    targets = schema_of("job")["$defs"]["Targets"]["properties"]
    assert targets["flux_density_high"]["description"] == (
        "At the supply's upper limit. In quotes, with its unit, such as '1.2 T'; more than 0, at most 2.2 T."
    )
    assert targets["volts_within"]["default"] == "3 %"
    assert targets["objective"]["enum"] == ["loss", "temperature", "copper"]
    core = schema_of("job")["$defs"]["Core"]["properties"]
    assert "m400-50a" in core["steel"]["enum"]
    assert '"null"' not in json.dumps(schema_of("job"))  # TOML has none


def test_check_prints_a_schema_and_needs_no_file() -> None:
    done = turnproof("check", "--schema", "bench")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout) == schema_of("bench")
    wrong = turnproof("check", "--schema", "bensh")
    assert wrong.returncode == 3
    assert "'bench'" in wrong.stderr


def test_the_editors_line_is_a_comment_to_us(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text('#:schema ./job.schema.json\nschema = 1\n[identity]\nnumber = "X-1"\n', encoding="utf-8")
    assert turnproof("check", str(path)).returncode == 0


def test_check_knows_rules_and_a_procedure_that_names_them(tmp_path: Path) -> None:
    rules, procedure = tmp_path / "ours.toml", tmp_path / "procedure.toml"
    rules.write_text('schema = 1\n[ratio]\ntolerance = 0.02\nbasis = "our own"\n', encoding="utf-8")
    procedure.write_text(
        'schema = 1\nname = "ours"\nrules = "ours.toml"\n[[step]]\nkind = "insulation"\n', encoding="utf-8"
    )
    good = turnproof("check", str(rules), str(procedure))
    assert (good.returncode, good.stderr) == (0, "")
    assert f"{rules}: rules, good" in good.stdout
    rules.write_text("schema = 1\n[ratio]\ntolerance = 0.02\n", encoding="utf-8")
    bad = turnproof("check", str(rules), str(procedure))
    assert bad.returncode == 3
    assert (
        bad.stderr.splitlines() == [f"{rules}: ratio: tolerance without basis, expected where the limit comes from"] * 2
    )

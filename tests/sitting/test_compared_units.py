"""Two tests side by side: doubts that they share cancel, all others do not."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.compared_units import (
    Compared,
    before_and_after,
    compared_document,
    compared_lines,
    compared_tests,
    named_test,
)
from bench.sitting.problems import BadInput
from drivers.reading import Component
from tests.sitting.dry_hand import keep_test

JOB = "TP-0107"
METER = {"what": "meter", "name": "desk", "use": "scpi@/dev/ttyUSB0", "serial": "S 1", "identity": "Works,M,S 1,1"}


def _step(ohms: float, parts: dict[str, float], name: str = "resistance:primary") -> StepResult:
    u = math.sqrt(sum(one**2 for one in parts.values()))
    return StepResult(
        id=name, label=name, quantity="resistance", winding="primary", measured=ohms, state="good", unit="ohm",
        verdict=Verdict.ACCEPTED, expected=ohms, u=u,
        components=tuple(Component(source, abs(part), math.copysign(1.0, part)) for source, part in parts.items()),
    )  # fmt: skip


def _keep(store: Store, job: str, meter: dict[str, Any], *steps: StepResult, procedure: str = "before varnish") -> None:
    store.append(job, Kind.JOB_FILE, {"file": "a.toml", "text": ""})
    store.append(job, Kind.INSTRUMENT, meter)
    store.append(job, Kind.TEST_BEGUN, {"procedure": procedure})
    body = {"verdict": "accepted", "steps": [one.as_json() for one in steps], "findings": [], "not_done": []}
    store.append(job, Kind.RESULT, body)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "records.sqlite")


def _compared(store: Store, one: str = "A", other: str = "B") -> Compared:
    return compared_tests(*(named_test(store.landmarks(job), job, None) for job in (one, other)))


_OWN = "scpi@/dev/ttyUSB0:resistance:2000"


def _parts(tag: str, ohms: float) -> dict[str, float]:
    """As JCGM 100:2008, 5.2.2, example: resistors compared with one standard of u = 100 mohm in 1000 ohm, here with a
    comparison of 10 mohm each besides."""
    return {f"{_OWN}:gain": 1e-4 * ohms, f"scpi@/dev/ttyUSB0:{tag}:noise": 0.010}


def test_what_one_standard_has_in_common_cancels_in_the_difference(store: Store) -> None:
    """JCGM 100:2008, 5.2.2: correlation 1 through the standard; a sum of ten has u = 10 x 100 mohm, a difference of two
    equal ones nothing of it: what remains is sqrt(2) x 10 mohm."""
    _keep(store, "A", METER, _step(1000.0, _parts("#1", 1000.0)))
    _keep(store, "B", METER | {"use": "scpi@/dev/ttyUSB7"},
          _step(1000.05, {k.replace("USB0", "USB7"): v for k, v in _parts("#1", 1000.0).items()}))  # fmt: skip
    row = _compared(store).rows[0]
    assert row.difference == pytest.approx(0.05)
    assert pytest.approx(2 * math.sqrt(2) * 0.010, rel=1e-4) == row.U
    assert row.significant


def test_noise_of_the_same_name_is_another_one_in_each_test(store: Store) -> None:
    _keep(store, "A", METER, _step(1000.0, {"scpi@/dev/ttyUSB0:#1:noise": 0.01}))
    _keep(store, "B", METER, _step(1000.0, {"scpi@/dev/ttyUSB0:#1:noise": 0.01}))
    assert pytest.approx(2 * math.sqrt(2) * 0.01) == _compared(store).rows[0].U


@pytest.mark.parametrize(
    ("meter", "note"),
    [
        (METER | {"serial": "S 2", "identity": "Works,M,S 2,1"}, ""),
        (METER | {"calibrated": "2027-01-02"}, "was calibrated between the two"),
    ],
)
def test_another_meter_or_a_calibration_between_cancels_nothing(store: Store, meter: dict[str, Any], note: str) -> None:
    """Independent: u = sqrt(2 (0.1^2 + 0.01^2)) ohm, JCGM 100:2008, 5.1.2."""
    _keep(store, "A", METER, _step(1000.0, _parts("#1", 1000.0)))
    _keep(store, "B", meter, _step(1000.05, _parts("#1", 1000.0)))
    compared = _compared(store)
    assert pytest.approx(2 * math.sqrt(2 * (0.1**2 + 0.01**2)), rel=1e-4) == compared.rows[0].U
    assert not compared.rows[0].significant
    assert compared.shared == ()
    assert note in " ".join(compared.notes)


def test_a_meter_that_nothing_tells_from_another_cancels_nothing_and_that_is_said(store: Store) -> None:
    hand = {"what": "meter", "name": "hand", "use": "hand", "identity": "hand: read and typed by a person"}
    for job in ("A", "B"):
        _keep(store, job, hand, _step(1000.0, {"hand:resistance:1000:gain": 0.1}))
    compared = _compared(store)
    assert pytest.approx(2 * math.sqrt(2) * 0.1) == compared.rows[0].U
    assert "nothing cancels" in compared.notes[0]


def test_values_at_other_volts_are_not_called_different(store: Store) -> None:
    amps = replace(_step(0.030, {"x": 1e-5}, "exciting:100"), at_volts=230.0)
    _keep(store, "A", METER, amps)
    _keep(store, "B", METER, replace(amps, measured=0.035, at_volts=240.0))
    row = _compared(store).rows[0]
    assert not row.significant
    assert row.note == "at 230.0 V and 240.0 V"


def test_one_unit_before_and_after_varnish(store: Store) -> None:
    keep_test(store)
    store.append(JOB, Kind.VARNISH, {"part": "varnish", "text": "polyester"})
    keep_test(store, change=lambda take, at, value: 1.03 * value if take.step == "resistance:ht.centre" else value)
    compared = compared_tests(*before_and_after(store.landmarks(JOB), JOB))
    rows = {row.id: row for row in compared.rows}
    assert compared.shared == ("Y-17",)
    part = rows["resistance:ht.centre"]
    assert part.significant
    assert part.one is not None
    assert part.difference == pytest.approx(0.03 * (part.one.measured or 0.0), rel=0.02)
    assert not rows["resistance:primary"].significant
    assert abs(rows["resistance:primary"].difference) < 1e-9
    document = compared_document(compared)
    assert [one["procedure"] for one in document["units"]] == ["before varnish", "after varnish"]
    assert any(line.startswith("resistance of ht.centre") and " * " in line for line in compared_lines(compared))


def test_without_varnish_it_is_said_how_to_compare_any_two(store: Store) -> None:
    keep_test(store)
    with pytest.raises(BadInput, match="one finished test in its record yet, expected one before varnish and one"):
        before_and_after(store.landmarks(JOB), JOB)
    keep_test(store, anew=True)
    with pytest.raises(BadInput, match=r"no finished test after varnish; .* compares any two of its 2"):
        before_and_after(store.landmarks(JOB), JOB)

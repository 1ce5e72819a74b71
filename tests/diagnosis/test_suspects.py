"""The diagnosis of a test that goes on is worked out anew only where a step tells it something."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.design.forward import forward_for
from bench.diagnosis import diagnose
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.suspects import Suspects
from bench.diagnosis.telling import telling
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import coastal_receiver, run_ideal

ALL_STEPS = run_ideal()[0].steps
# What a unit loses on load is weighed too; there an ideal bench and the design differ a little.
STEPS = tuple(one for one in ALL_STEPS if not one.id.startswith("regulation"))


def ids(steps: tuple[StepResult, ...]) -> set[str]:
    return {one.id for one in steps}


def new_suspects() -> Suspects:
    job, rules = coastal_receiver(), rules_named()
    return Suspects(Diagnosis(job, rules, forward_for(job, rules)))


def test_numbers_and_signs_are_telling_and_what_no_fault_foretells_is_not() -> None:
    told = ids(telling(STEPS))
    assert {"resistance:heater", "insulation:ht", "ratio:ht", "polarity:ht", "core_watts", "turns:ht"} <= told
    assert "regulation:ht" in ids(telling(ALL_STEPS))
    assert not {"look:core", "frequency", "first_power", "open_circuit:ht", "soak:senses", "loaded:ht"} & told


def test_trouble_and_a_bright_lamp_are_telling() -> None:
    changed = tuple(
        replace(one, verdict={"frequency": Verdict.TROUBLE, "first_power": Verdict.REJECTED}.get(one.id, one.verdict))
        for one in STEPS
    )
    assert {"frequency", "first_power"} <= ids(telling(changed))


def test_nothing_is_weighed_again_while_no_step_tells_anything(monkeypatch: pytest.MonkeyPatch) -> None:
    weighed: list[int] = []
    weigh = diagnose.weigh

    def counted(case: Any, *rest: Any) -> Any:
        weighed.append(len(case.steps))
        return weigh(case, *rest)

    monkeypatch.setattr(diagnose, "weigh", counted)
    suspects = new_suspects()
    until = [one.id for one in STEPS].index("hipot:primary")
    whole = suspects(STEPS[:until])
    for end in range(until, len(STEPS) + 1):
        assert suspects(STEPS[:end]) == whole
    assert weighed == [until]


def test_nothing_is_suspected_before_anything_was_measured() -> None:
    assert new_suspects()(()) == ()


def test_an_ideal_unit_is_as_designed_and_a_deviation_of_its_own_doubt_is_not() -> None:
    suspects = new_suspects()
    assert suspects.as_designed(STEPS)
    assert sum(one.probability for one in suspects(STEPS) if one.is_dangerous("primary")) < 0.25
    for name in ("core_watts", "ratio:heater", "low_watts"):
        off = tuple(
            replace(one, measured=(one.expected or 0) + 1.1 * one.u) if one.id == name else one for one in STEPS
        )
        assert not suspects.as_designed(off)
    low = tuple(replace(one, verdict=Verdict.REJECTED) if one.id == "insulation:ht" else one for one in STEPS)
    assert not suspects.as_designed(low)

"""What is advised next: it settles what the readings leave open, and its answer is not asked for twice."""

from __future__ import annotations

import numpy as np
import pytest

from bench.acceptance.result import NextStep, StepResult
from bench.design.forward import Forward
from bench.diagnosis.advisable import Further, advisable
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.typed import TypedReadings
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from drivers.accuracy import Accuracy
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver

JOB = coastal_receiver()
RULES = rules_named()
FORWARD = Forward(JOB, RULES)
DIAGNOSIS = Diagnosis(JOB, RULES, FORWARD)


def _typed(*readings: str) -> tuple[StepResult, ...]:
    taken = TypedReadings(FORWARD.design, {Quantity.VOLTAGE_AC: Accuracy(0.1)})
    return tuple(taken.step(one) for one in readings)


def _shares(*readings: str) -> dict[tuple[str, str], float]:
    shares: dict[tuple[str, str], float] = {}
    for one, probability in DIAGNOSIS.posterior(_typed(*readings)):
        shares[one.fault, one.winding] = shares.get((one.fault, one.winding), 0.0) + probability
    return shares


def _next(*readings: str) -> NextStep:
    _, following = DIAGNOSIS(_typed(*readings), ())
    assert following is not None
    return following


# A primary of 647 turns where 662 are drawn: 230 V x 19 / 647 x 0.9985 on the heater, by hand.
SHORT_OF_15 = "volts:heater=6.744 V@230.0 V"
COIL_OF_15 = "search:10=3.5495 V@230.0 V"
# A heater that reads 5.4 % more: a turn of its own too many, or 34 of the primary's too few.
AMBIGUOUS = "volts:heater=6.95 V@230.0 V"


def test_15_turns_too_few_on_the_primary_are_certain_after_the_search_coil() -> None:
    before, after = _shares(SHORT_OF_15), _shares(SHORT_OF_15, COIL_OF_15)
    assert before["turns_wrong", "primary"] < 0.9
    assert after["turns_wrong", "primary"] > 0.97
    sizes = {one.size for one, share in DIAGNOSIS.posterior(_typed(SHORT_OF_15, COIL_OF_15)) if share > 0.1}
    assert "-15 turns" in sizes


def test_a_search_coil_alone_names_the_primary() -> None:
    assert _shares(COIL_OF_15)["turns_wrong", "primary"] > 0.8


def test_the_search_coil_is_advised_where_it_tells_two_windings_apart_and_says_how_to_answer() -> None:
    following = _next(AMBIGUOUS)
    assert following.answers == ("search:10='… V@… V'",)
    assert "search coil" in following.step
    assert following.step.startswith("unplugged: ")
    assert following.as_json()["answers"] == ["search:10='… V@… V'"]


@pytest.mark.parametrize(("coil", "winding"), [("3.653 V", "primary"), ("3.469 V", "heater")])
def test_its_answer_settles_which_winding_it_is(coil: str, winding: str) -> None:
    shares = _shares(AMBIGUOUS, f"search:10={coil}@230.0 V")
    other = {"primary": "heater", "heater": "primary"}[winding]
    assert shares["turns_wrong", winding] > 100 * shares["turns_wrong", other]


def test_what_was_answered_is_not_asked_for_again() -> None:
    likely = [Hypothesis("core_gap"), Hypothesis("joint_poor", "heater"), Hypothesis("joint_poor", "ht.centre")]

    def asked(*readings: str) -> set[str]:
        return {one.id for one in advisable(Case(JOB, FORWARD.design, _typed(*readings)), likely)}

    every = asked(AMBIGUOUS)
    assert every >= {
        "search:10", "look:core_gap", "look:joint_poor:heater", "look:joint_poor:ht.centre", "stack_height",
        "core_watts:138", "backfed:primary-ht.centre",
    }  # fmt: skip
    assert every - asked(AMBIGUOUS, "search:12=4.2 V@230 V") == {"search:10"}
    assert every - asked(AMBIGUOUS, "look:core_gap=no") == {"look:core_gap"}
    assert every - asked(AMBIGUOUS, "look:joint_poor:ht=no") == {"look:joint_poor:ht.centre"}
    assert every - asked(AMBIGUOUS, "backfed:primary-ht=185 V@434 V") == {"backfed:primary-ht.centre"}
    assert every - asked(AMBIGUOUS, "watts=1.7 W@138 V", "stack=45 mm") == {"stack_height", "core_watts:138"}


def test_back_feeding_needs_a_third_winding() -> None:
    two = tuple(one for one in JOB.winding if one.name in ("primary", "heater"))
    job = JOB.model_copy(update={"winding": two, "screen": ()})
    found = advisable(Case(job, Forward(job, RULES).design, ()), [])
    assert not [one for one in found if one.id.startswith("backfed")]


def test_back_feeding_warns_of_every_open_lead() -> None:
    (found,) = (one for one in advisable(Case(JOB, FORWARD.design, ()), []) if one.id.startswith("backfed"))
    assert "DANGER" in found.text
    assert "540 V" in found.text  # 1554 of 662 turns' 230 V
    assert "no hand near before it is unplugged" in found.text


def test_what_it_would_show_has_the_doubt_of_the_test_s_own_meter() -> None:
    """A miscount of the primary lies as many doubts off as the same reading, once taken, does."""
    off = Hypothesis("turns_wrong", "primary", "-15 turns", Variant(turns_added={"primary": -15}))

    def outcome(*readings: str) -> float:
        (coil,) = (one for one in advisable(Case(JOB, FORWARD.design, _typed(*readings)), []) if one.id == "search:10")
        found = coil.outcome(off, FORWARD(off.variant))
        assert found is not None
        return found

    heater = _typed("volts:heater=6.590 V@230.0 V")[0]
    doubt = heater.u / (heater.measured or 1.0)
    assert outcome("volts:heater=6.590 V@230.0 V") == pytest.approx(np.log(662 / 647) / doubt, rel=0.05)
    assert outcome("volts:heater=6.6 V@230 V") < 0.5 * outcome("volts:heater=6.590 V@230.0 V")


@pytest.mark.parametrize(
    ("reading", "fault", "winding", "look"),
    [
        ("amps=95 mA@230 V", "core_gap", "", "look:core_gap"),
        ("ohms:heater=0.12 ohm", "joint_poor", "heater", "look:joint_poor:heater"),
        ("amps=95 mA@230 V", "screen_closed", "screen", "look:screen_closed"),
    ],
)
def test_a_look_pushes_both_ways(reading: str, fault: str, winding: str, look: str) -> None:
    """Right 19 times of 20: the odds go by 19 times, up or down."""

    def odds(*readings: str) -> float:
        share = _shares(reading, *readings)[fault, winding]
        rest = 1 - share - _shares(reading, *readings)["unknown", ""]
        return share / rest

    assert odds(f"{look}=yes") == pytest.approx(19 * odds(), rel=0.02)
    assert odds(f"{look}=no") == pytest.approx(odds() / 19, rel=0.02)


def test_a_look_at_another_winding_tells_nothing_of_this_one() -> None:
    reading = "ohms:heater=0.12 ohm"
    plain, looked = _shares(reading), _shares(reading, "look:joint_poor:ht=no")
    both = [("joint_poor", "heater"), ("strand_open", "heater")]
    ratio = [shares[both[0]] / shares[both[1]] for shares in (plain, looked)]
    assert ratio[0] == pytest.approx(ratio[1])


def test_looks_alone_are_weighed() -> None:
    shares = _shares("look:core_gap=yes")
    assert shares["core_gap", ""] > 5 * RULES["priors"]["core_gap"]
    assert sum(shares.values()) == pytest.approx(1.0)


def test_what_a_look_showed_is_told_among_what_speaks_for_and_against() -> None:
    steps = _typed("amps=95 mA@230 V", "look:core_gap=yes", "look:reading_wrong:primary=no")
    speaks, against = DIAGNOSIS.speaking(steps, "core_gap", "")
    assert "look for core gap: yes" in speaks
    assert against == []
    _, against = DIAGNOSIS.speaking(steps, "reading_wrong", "primary")
    assert "look for reading wrong of primary: no" in against


def test_an_answer_that_is_a_yes_or_no_tells_at_most_what_its_reliability_leaves() -> None:
    """1 bit less the entropy of 0.95 (0.286 bit), by Shannon's formula for a binary symmetric channel."""
    look = Further("look:core_gap", "", lambda hypothesis, model: None, 1.0, right=0.95)
    assert look.bits(np.array([0.0, 1.0]), np.array([0.5, 0.5])) == pytest.approx(0.7136, abs=1e-4)
    assert look.bits(np.array([0.0, 0.0]), np.array([0.5, 0.5])) == pytest.approx(0.0, abs=1e-12)
    assert look.tells_apart(0.0, 1.0)


def test_a_size_that_is_still_open_is_no_reason_to_measure_on() -> None:
    findings, following = DIAGNOSIS(_typed(AMBIGUOUS, "search:10=3.653 V@230.0 V"), ())
    assert findings[0].probability > 0.95
    assert following is None

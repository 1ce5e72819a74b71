"""A job with targets becomes one with turns and wires that give them."""

from __future__ import annotations

import pytest

from bench.design.designing import design_job
from bench.design.plan import plan_of
from bench.design.targets import needs_for_design, problem_of, shelf_options
from bench.job.bench_file import ReelOfWire, Winder
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import rules_named

RULES = rules_named()
OPENER = read_job(example_job("gate-opener"))
SHELF = tuple(
    ReelOfWire.model_validate({"size": size})
    for size in ("0.14 mm", "0.16 mm", "0.18 mm", "0.40 mm", "0.45 mm", "0.5 mm")
)


def _bare(job: Job) -> Job:
    """The targets without the turns and wires that answer them."""
    windings = tuple(one.model_copy(update={"turns": None, "wire": None, "layers": ()}) for one in job.winding)
    return job.model_copy(update={"winding": windings})


def test_a_job_of_targets_is_designed_from_the_shelf_and_gives_its_volts_on_load() -> None:
    found = design_job(_bare(OPENER), RULES, shelf_options(SHELF, 1))
    assert found is not None
    assert found.volts["supply24"] == pytest.approx(24.0, rel=0.03)
    assert found.design.flux_density <= 1.25
    plan = plan_of(found.job)
    assert plan.room_left >= 0
    assert plan.outer == pytest.approx(found.design.fill.outer, abs=1e-9)
    assert {one.winding.wire.name for one in plan.windings if one.winding.wire} <= {reel.size.name for reel in SHELF}
    for planned, choice in zip(plan.windings, found.design.fill.choices, strict=True):
        assert len(planned.layers) == choice.layers


def test_a_window_that_is_too_narrow_has_no_design() -> None:
    core = OPENER.core.model_copy(update={"window_width": 2.6e-3})
    assert design_job(_bare(OPENER.model_copy(update={"core": core})), RULES, shelf_options(SHELF, 1)) is None


def test_what_the_targets_lack_is_named() -> None:
    bare = Job.model_validate(
        {"schema": 1, "identity": {"number": "X"}, "winding": [{"name": "s", "role": "secondary"}]}
    )
    needs = needs_for_design(bare)
    assert "supply.voltage and supply.frequency" in needs
    assert any(one.startswith("winding.s.rated_voltage") for one in needs)
    with pytest.raises(ValueError, match="the design needs"):
        design_job(bare, RULES, shelf_options(SHELF, 1))


def test_a_rail_is_given_its_direct_volts() -> None:
    receiver = read_job(example_job("coastal-receiver"))
    load = receiver.load[0].model_copy(update={"rail_voltage": 320.0})
    shelf = tuple(ReelOfWire.model_validate({"size": size}) for size in ("0.18 mm", "0.4 mm", "1.0 mm", "1.4 mm"))
    found = design_job(receiver.model_copy(update={"load": (load,)}), RULES, shelf_options(shelf, 1))
    assert found is not None
    assert found.volts["ht"] == pytest.approx(320.0, rel=0.01)
    assert (found.job.get_winding("ht").turns or 0) % 2 == 0
    assert found.job.get_winding("ht").taps[0].turn * 2 == found.job.get_winding("ht").turns


def test_a_winding_that_stays_keeps_its_turns_and_wire_and_fixes_the_flux() -> None:
    targets = OPENER.targets.model_copy(update={"keep": ("supply24",)})
    found = design_job(OPENER.model_copy(update={"targets": targets}), RULES, shelf_options(SHELF, 1))
    assert found is not None
    kept = found.job.get_winding("supply24")
    assert kept.turns == 190
    assert kept.wire is not None
    assert kept.wire.name == "26 AWG"
    assert found.volts["supply24"] == pytest.approx(24.0, rel=0.01)


def test_wires_that_the_winder_can_t_wind_are_not_taken() -> None:
    winder = Winder.model_validate({"thinnest": "0.15 mm", "thickest": "0.45 mm", "strands": 1})
    options = shelf_options(SHELF, 3, winder)
    assert {one.name for one in options} == {"0.16 mm", "0.18 mm", "0.4 mm", "0.45 mm"}
    assert {one.strands for one in options} == {1}


def test_a_free_order_keeps_what_a_screen_keeps_apart() -> None:
    receiver = read_job(example_job("coastal-receiver"))
    free = receiver.model_copy(update={"targets": receiver.targets.model_copy(update={"order": "free"})})
    assert problem_of(free, RULES, shelf_options(SHELF, 1)).free_after == 1
    behind = free.model_copy(update={"screen": (free.screen[0].model_copy(update={"after": "ht"}),)})
    assert problem_of(behind, RULES, shelf_options(SHELF, 1)).free_after == 2
    assert problem_of(receiver, RULES, shelf_options(SHELF, 1)).free_after is None

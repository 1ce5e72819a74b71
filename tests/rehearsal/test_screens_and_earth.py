"""A screen with both ends out, the earth lead, and links between any two windings."""

from __future__ import annotations

import math

import pytest

from bench.job.model import Job
from bench.rehearsal.supply import Source
from bench.rehearsal.wiring import Connection, Excitation, Quantity
from bench.rehearsal.workbench import Workbench
from tests.rehearsal.benches import nominal_bench, ohmmeter


def _fed(job: Job, *faults: str, volts: float = 10.0) -> Workbench:
    bench = nominal_bench(job, *faults)
    bench.excite(Excitation("primary.start", "primary.finish", volts, Source.LOW_VOLTAGE), 0.0)
    return bench


def _turns(bench: Workbench, begin: str, end: str, links: tuple[tuple[str, str], ...] = ()) -> float:
    """Volts between two terminals over those of one turn of the high-voltage winding."""
    bench.connect(Connection(Quantity.VOLTAGE_AC, begin, end), links, 0.0)
    return bench.voltage(begin, end, 0.0) / (bench.voltage("ht.start", "ht.finish", 0.0) / 1554)


def test_an_open_screen_shows_one_turns_volts_between_its_ends(coastal: Job) -> None:
    assert _turns(_fed(coastal), "screen.lead", "screen.far_lead") == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize(("fault", "contact"), [("screen_closed=0", 0.0), ("screen_closed=0.01", 0.01)])
def test_a_closed_screen_shows_what_its_contact_leaves(coastal: Job, fault: str, contact: float) -> None:
    bench = _fed(coastal, fault)
    foil = next(coil.resistance for coil in bench.unit.coils if coil.winding == "screen")
    expected = contact / (contact + foil)
    assert _turns(bench, "screen.lead", "screen.far_lead") == pytest.approx(expected, abs=0.01)


def test_with_one_end_out_there_is_no_far_lead(gate: Job, coastal: Job) -> None:
    one_end = tuple(screen.model_copy(update={"far_lead": None}) for screen in coastal.screen)
    bench = nominal_bench(coastal.model_copy(update={"screen": one_end}))
    assert "screen.lead" in bench.unit.nodes
    assert "screen.far_lead" not in bench.unit.nodes
    assert not [coil for coil in bench.unit.coils if coil.winding == "screen"]
    assert not [node for node in nominal_bench(gate).unit.nodes if "screen" in node]


def test_core_band_and_screen_are_on_the_earth_lead(coastal: Job) -> None:
    bench = nominal_bench(coastal)
    for terminal in ("core", "band", "screen.lead", "screen.far_lead"):
        assert 0.02 < ohmmeter(bench, "earth.lead", terminal) < 0.1


def test_a_screen_whose_lead_is_off_the_foil_is_open_at_its_far_end_only(coastal: Job) -> None:
    bench = nominal_bench(coastal, "screen_unearthed")
    assert ohmmeter(bench, "earth.lead", "screen.lead") < 0.1
    assert ohmmeter(bench, "earth.lead", "screen.far_lead") > 1e6
    assert ohmmeter(bench, "screen.lead", "screen.far_lead") > 1e6
    assert math.isfinite(ohmmeter(bench, "earth.lead", "core"))


@pytest.mark.parametrize(
    ("link", "ends", "turns"),
    [
        (("rectifier.finish", "heater.start"), ("rectifier.start", "heater.finish"), 34),
        (("rectifier.finish", "heater.finish"), ("rectifier.start", "heater.start"), 4),
        (("rectifier.start", "heater.start"), ("rectifier.finish", "heater.finish"), 4),
    ],
)
def test_any_two_windings_can_be_joined(
    coastal: Job, link: tuple[str, str], ends: tuple[str, str], turns: float
) -> None:
    assert _turns(_fed(coastal), *ends, (link,)) == pytest.approx(turns, rel=0.01)


def test_strands_brought_out_are_two_windings(coastal: Job) -> None:
    heater = coastal.get_winding("heater").model_copy(update={"strands": 1})
    other = heater.model_copy(update={"name": "heater2", "parallel_with": "heater"})
    windings = tuple(heater if one.name == "heater" else one for one in coastal.winding)
    job = coastal.model_copy(update={"winding": (*windings, other)})
    link = (("heater.start", "heater2.start"),)
    assert _turns(_fed(job), "heater.finish", "heater2.finish", link) == pytest.approx(0.0, abs=0.1)
    reversed_one = _fed(job, "winding_reversed:heater2")
    assert _turns(reversed_one, "heater.finish", "heater2.finish", link) == pytest.approx(38, rel=0.01)
    assert _turns(_fed(job, "turns_wrong:heater2=1"), "heater.finish", "heater2.finish", link) == pytest.approx(
        1, abs=0.1
    )

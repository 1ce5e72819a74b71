"""What must hold of a loaded transformer whatever its loads: energy, order, direction, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.magnetics.coupling import LoadedWinding, couple
from bench.magnetics.excitation import MagneticCore, exciting_at_terminals
from bench.magnetics.leakage import Coil, Window, leakage_matrix
from bench.magnetics.load import Circuit, Diode, Filter, Load, RectifierLoad, ResistiveLoad
from bench.magnetics.on_load import on_load, over_mains
from bench.magnetics.on_load_result import EXCITING, OnLoad
from bench.magnetics.regulation import Base, regulation
from bench.magnetics.steel import Steel

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2)
WINDINGS = (
    LoadedWinding("primary", 662, 13.0),
    LoadedWinding("ht", 1554, 190.0, (85.0, 105.0)),
    LoadedWinding("rectifier", 15, 0.035),
    LoadedWinding("heater", 19, 0.026),
)
TURNS = np.array([winding.turns for winding in WINDINGS])
# Per turn squared; what the windings share, as coils over one another do.
LEAKAGE = (
    np.outer(TURNS, TURNS) * np.array([[20, 12, 8, 4], [12, 14, 8, 4], [8, 8, 10, 4], [4, 4, 4, 6]], dtype=float) * 1e-9
)
HEATERS = (ResistiveLoad.rated("rectifier", 5.0, 2.0), ResistiveLoad.rated("heater", 6.3, 3.0))
VALVE = Diode(0.0, 160.0)
RAIL = RectifierLoad("ht", Circuit.FULL_WAVE, Filter.CAPACITOR_INPUT, VALVE, dc_current=0.06, capacitance=16e-6)


def solve(loads: Sequence[Load], voltage: float = 230.0, frequency: float = 50.0) -> OnLoad:
    return on_load(WINDINGS, "primary", LEAKAGE, CORE, voltage, frequency, loads)


amps = st.floats(0.005, 0.09)
filters = st.sampled_from(list(Filter))


@st.composite
def rectifiers(draw: st.DrawFn) -> RectifierLoad:
    circuit, kind = draw(st.sampled_from(list(Circuit))), draw(filters)
    volts = 500.0 if circuit is Circuit.BRIDGE else 250.0
    return RectifierLoad(
        "ht",
        circuit,
        kind,
        draw(st.sampled_from([VALVE, Diode(0.8, 0.1), Diode(1.0, 0.0)])),
        # Direct current in a half-wave's winding magnetises the core: a few milliamperes are what they are used for.
        load_resistance=volts / draw(amps) * (10.0 if circuit is Circuit.HALF_WAVE else 1.0),
        capacitance=0.0 if kind is Filter.NONE else draw(st.floats(1e-6, 200e-6)),
        choke_inductance=draw(st.floats(0.5, 20.0)) if kind is Filter.CHOKE_INPUT else 0.0,
        choke_resistance=100.0 if kind is Filter.CHOKE_INPUT else 0.0,
    )


@settings(max_examples=15, deadline=None)
@given(rectifiers(), st.floats(0.2, 3.0), st.sampled_from([50.0, 60.0]))
def test_power_taken_is_power_lost_and_power_given(rail: RectifierLoad, heater: float, frequency: float) -> None:
    found = solve([rail, ResistiveLoad.rated("heater", 6.3, heater)], frequency=frequency)
    rails = sum(one.power + one.rectifier_loss + one.choke_loss for one in found.rails)
    assert found.windings["ht"].power == pytest.approx(rails, rel=5e-3)
    spent = found.copper_loss + found.core_loss + rails + found.windings["heater"].power
    assert found.input_power == pytest.approx(spent, rel=5e-3)
    assert found.input_power <= found.apparent_power
    assert 0.0 < found.efficiency < 1.0


@settings(max_examples=6, deadline=None)
@given(rectifiers(), st.permutations(range(3)))
def test_the_order_of_the_loads_is_of_no_account(rail: RectifierLoad, order: list[int]) -> None:
    loads = (rail, *HEATERS)
    one, other = solve(loads), solve([loads[index] for index in order])
    for name, winding in one.windings.items():
        assert other.windings[name].voltage == pytest.approx(winding.voltage, rel=1e-5)
        assert other.windings[name].current == pytest.approx(winding.current, rel=1e-4)


@settings(max_examples=6, deadline=None)
@given(amps, st.floats(1.1, 3.0))
def test_more_load_anywhere_lowers_the_volts_of_every_winding(current: float, times: float) -> None:
    less, more = (solve([ResistiveLoad.rated("ht", 500.0, one), *HEATERS]) for one in (current, current * times))
    for name in ("ht", "rectifier", "heater"):
        assert more.windings[name].voltage < less.windings[name].voltage
    assert more.windings["primary"].current > less.windings["primary"].current


@settings(max_examples=6, deadline=None)
@given(st.floats(0.01, 0.07), st.floats(1.1, 2.0))
def test_more_current_from_the_rail_lowers_the_heaters_too(current: float, times: float) -> None:
    less, more = (
        solve(
            [
                RectifierLoad(
                    "ht", Circuit.FULL_WAVE, Filter.CAPACITOR_INPUT, VALVE, dc_current=one, capacitance=16e-6
                ),
                *HEATERS,
            ]
        )
        for one in (current, current * times)
    )
    assert more.rails[0].voltage < less.rails[0].voltage
    assert more.rails[0].ripple > less.rails[0].ripple
    for name in ("rectifier", "heater"):
        assert more.windings[name].voltage < less.windings[name].voltage


@settings(max_examples=15, deadline=None)
@given(rectifiers())
def test_drops_add_up_to_what_the_winding_lacks(rail: RectifierLoad) -> None:
    found = solve([rail, *HEATERS])
    for victim, causes in found.drops.items():
        winding = found.windings[victim]
        lacking = winding.voltage_by_turns - winding.voltage
        assert sum(drop.total for drop in causes.values()) == pytest.approx(lacking, rel=1e-9, abs=1e-9)
        assert all(drop.own_resistance == 0.0 for cause, drop in causes.items() if cause != victim)


def test_without_a_load_volts_go_as_turns_less_what_the_exciting_current_takes() -> None:
    found = solve([])
    for winding in WINDINGS[1:]:
        got = found.windings[winding.name]
        assert got.voltage_by_turns == pytest.approx(230.0 * winding.turns / 662, rel=1e-9)
        assert got.voltage == pytest.approx(got.no_load_voltage, rel=1e-5)
        assert got.voltage == pytest.approx(got.voltage_by_turns, rel=5e-3)
        assert found.drops[winding.name][EXCITING].total == pytest.approx(got.voltage_by_turns - got.voltage, rel=1e-3)
    ideal = on_load(WINDINGS, "primary", LEAKAGE, None, 230.0, 50.0, [])
    assert ideal.windings["heater"].voltage == pytest.approx(230.0 * 19 / 662, rel=1e-9)
    assert ideal.input_power == 0.0


@pytest.mark.parametrize("voltage", [150.0, 230.0, 290.0])
def test_without_a_load_the_exciting_current_is_that_of_the_core_behind_the_copper(voltage: float) -> None:
    found = solve([], voltage)
    alone = exciting_at_terminals(CORE, 662, voltage, 50.0, 13.0, float(LEAKAGE[0, 0]))
    assert found.exciting_current == pytest.approx(alone.current, rel=2e-3)
    assert found.core_loss == pytest.approx(alone.core_loss, rel=1e-3)
    assert found.flux_density == pytest.approx(alone.flux_density, rel=1e-3)


def test_a_load_takes_from_its_own_winding_in_both_coppers_and_from_another_in_the_shared_one() -> None:
    found = solve([RAIL, *HEATERS])
    own, other = found.drops["heater"]["heater"], found.drops["ht"]["heater"]
    assert own.own_resistance == pytest.approx(3.06 * 0.026, rel=0.01)
    assert own.fed_resistance == pytest.approx(3.06 * 13.0 * (19 / 662) ** 2, rel=0.01)
    assert other.fed_resistance == pytest.approx(own.fed_resistance * 1554 / 19, rel=0.02)


def test_a_capacitor_input_costs_more_than_its_direct_current_says() -> None:
    found = solve([RAIL, *HEATERS])
    rail = found.rails[0]
    assert rail.current == pytest.approx(0.06, rel=1e-9)
    # Each half gives 30 mA in the mean and carries more than twice that RMS.
    assert 1.1 * rail.current < rail.winding_current < 1.5 * rail.current
    assert rail.diode_mean == pytest.approx(0.03, rel=1e-3)
    assert rail.diode_peak > 3 * rail.current


def test_a_capacitor_input_flattens_the_others() -> None:
    # The same watts from the same winding as a resistance: less RMS current in the primary, less drop of the heaters.
    peaky = solve([RAIL, *HEATERS])
    power = peaky.rails[0].power + peaky.rails[0].rectifier_loss
    volts = peaky.windings["ht"].voltage
    smooth = solve([ResistiveLoad("ht", volts**2 / power), *HEATERS])
    assert peaky.windings["primary"].current > smooth.windings["primary"].current
    assert peaky.copper_loss > smooth.copper_loss


def test_rails_rise_with_the_mains() -> None:
    low, nominal, high = over_mains(WINDINGS, "primary", LEAKAGE, CORE, 230.0, 50.0, [RAIL, *HEATERS])
    assert (low.voltage, nominal.voltage, high.voltage) == pytest.approx((207.0, 230.0, 253.0))
    steps = np.diff([one.rails[0].voltage for one in (low, nominal, high)])
    # More than in proportion, for the load takes no more current; less than the peak of the half winding's volts does.
    assert all(0.1 * nominal.rails[0].voltage < step < 0.1 * math.sqrt(2) * 230 * 777 / 662 for step in steps)
    assert low.flux_density < nominal.flux_density < high.flux_density


def test_a_tap_off_the_middle_gives_each_half_the_volts_of_its_own_turns() -> None:
    # Next to no ohms and a load of microamperes: the rail stands at the peak of the half with the more turns.
    unit = (LoadedWinding("primary", 500, 1e-3), LoadedWinding("s", 60, 2e-3, half_turns=(20.0, 40.0)))
    rail = RectifierLoad(
        "s", Circuit.FULL_WAVE, Filter.CAPACITOR_INPUT, Diode(0.8, 0.02), load_resistance=1e5, capacitance=1e-3
    )
    found = on_load(unit, "primary", np.zeros((2, 2)), None, 230.0, 50.0, [rail]).rails[0]
    assert found.voltage == pytest.approx(math.sqrt(2) * 230 * 40 / 500 - 0.8, rel=2e-3)


def test_a_tapped_winding_without_its_halves_ohms_shares_them_by_turns() -> None:
    unit = (LoadedWinding("primary", 500, 1.0), LoadedWinding("s", 60, 3.0, half_turns=(20.0, 40.0)))
    coils = couple(unit, 0, np.zeros((2, 2)), {1})
    assert coils.ratio * 500 == pytest.approx([20, 40])
    assert coils.own == pytest.approx([1, 2])
    assert couple(unit, 0, np.zeros((2, 2)), set()).ratio * 500 == pytest.approx([60])


@pytest.mark.parametrize("halves", [(20.0, 30.0), (0.0, 60.0), (-10.0, 70.0)])
def test_halves_that_are_not_those_of_the_winding_are_refused(halves: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"the halves of s (don't add up to its 60 turns|have .* turns, expected)"):
        LoadedWinding("s", 60, 3.0, half_turns=halves)


def test_direct_current_in_a_half_wave_moves_the_flux_off_its_middle() -> None:
    bias = RectifierLoad("ht", Circuit.HALF_WAVE, Filter.CAPACITOR_INPUT, load_resistance=50e3, capacitance=20e-6)
    without = solve(HEATERS)
    found = solve([bias, *HEATERS])
    assert found.flux_density > without.flux_density + 0.1
    assert found.exciting_current > 1.2 * without.exciting_current


def test_regulation_of_a_winding_from_its_volts() -> None:
    heater = solve([RAIL, *HEATERS]).windings["heater"]
    fall = regulation(heater.no_load_voltage, heater.voltage, Base.ON_LOAD)
    assert 0.01 < fall < 0.06
    assert regulation(heater.no_load_voltage, heater.voltage, Base.NO_LOAD) == pytest.approx(fall / (1 + fall))


def test_the_leakage_of_coils_in_a_window_is_taken_as_it_comes() -> None:
    # Primary next to the leg, then HT, rectifier, heater: each further out leaks more against the primary.
    window = Window(width=16e-3, height=48e-3)
    faces = ((1.2e-3, 5.2e-3), (5.8e-3, 9.5e-3), (10.0e-3, 11.1e-3), (11.6e-3, 13.5e-3))
    coils = [
        Coil(turns, inner, outer, 0.154 + 2 * math.pi * (inner + outer) / 2, 40e-3)
        for turns, (inner, outer) in zip(TURNS, faces, strict=True)
    ]
    stiff = RectifierLoad("ht", Circuit.BRIDGE, Filter.CAPACITOR_INPUT, dc_current=0.04, capacitance=100e-6)
    found = on_load(WINDINGS, "primary", leakage_matrix(coils, window), CORE, 230.0, 50.0, [stiff, *HEATERS])
    without = on_load(WINDINGS, "primary", np.zeros((4, 4)), CORE, 230.0, 50.0, [stiff, *HEATERS])
    # A reactance turns the phase of a resistance's volts, and hardly takes any; it broadens the pulses of a rectifier
    # that has little else in its way.
    assert found.windings["heater"].voltage == pytest.approx(without.windings["heater"].voltage, rel=5e-3)
    assert found.rails[0].diode_peak < without.rails[0].diode_peak


@pytest.mark.parametrize(
    ("ohms", "volts", "load"),
    [
        # 20 A from a few milliohms into a capacitor that is large for them.
        (4e-3, 12.0, RectifierLoad("x", Circuit.BRIDGE, Filter.CAPACITOR_INPUT, Diode(0.6, 1e-3), 20.0, None, 0.1)),
        # 3 mA at kilovolts behind two kilohms, with a small capacitor.
        (2e3, 1500.0, RectifierLoad("x", Circuit.BRIDGE, Filter.CAPACITOR_INPUT, Diode(0.0, 0.0), 3e-3, None, 1e-7)),
        (1e3, 700.0, RectifierLoad("x", Circuit.FULL_WAVE, Filter.CAPACITOR_INPUT, VALVE, 0.1, None, 470e-6)),
    ],
)
@pytest.mark.parametrize("per_turn", [0.0, 1e-9, 1e-7])
def test_stiff_windings_settle(ohms: float, volts: float, load: RectifierLoad, per_turn: float) -> None:
    turns = 662 * volts / 230.0
    windings = (LoadedWinding("primary", 662, 2.0), LoadedWinding("x", turns, ohms))
    leakage = np.diag([0.0, per_turn * turns**2])
    found = on_load(windings, "primary", leakage, CORE, 230.0, 50.0, [load])
    spent = found.copper_loss + found.core_loss + found.rails[0].power + found.rails[0].rectifier_loss
    assert found.input_power == pytest.approx(spent, rel=5e-3)
    assert found.rails[0].current == pytest.approx(load.dc_current)


def test_half_the_steps_change_next_to_nothing() -> None:
    fine = solve([RAIL, *HEATERS])
    coarse = on_load(WINDINGS, "primary", LEAKAGE, CORE, 230.0, 50.0, [RAIL, *HEATERS], steps=151)
    assert coarse.rails[0].voltage == pytest.approx(fine.rails[0].voltage, rel=1e-3)
    for name, winding in fine.windings.items():
        assert coarse.windings[name].voltage == pytest.approx(winding.voltage, rel=1e-3)
        assert coarse.windings[name].current == pytest.approx(winding.current, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"fed": "tertiary"}, "no winding is called tertiary"),
        ({"voltage": 0.0}, "supply voltage is 0 V"),
        ({"frequency": -50.0}, "frequency is -50 Hz"),
        ({"loads": [ResistiveLoad("primary", 1.0)]}, "a load is on winding primary"),
        ({"leakage": np.zeros((3, 3))}, "leakage matrix is"),
        ({"leakage": np.triu(np.ones((4, 4)))}, "not symmetric"),
        ({"leakage": -LEAKAGE}, "negative energy"),
        ({"steps": 300}, "expected an odd number"),
    ],
)
def test_arguments_out_of_range_are_refused_with_their_value(change: dict[str, object], said: str) -> None:
    arguments: dict[str, object] = {
        "windings": WINDINGS,
        "fed": "primary",
        "leakage": LEAKAGE,
        "core": CORE,
        "voltage": 230.0,
        "frequency": 50.0,
        "loads": HEATERS,
    }
    with pytest.raises(ValueError, match=said):
        on_load(**(arguments | change))  # type: ignore[arg-type]


def test_a_rail_that_cannot_give_its_current_is_refused() -> None:
    greedy = RectifierLoad("ht", Circuit.FULL_WAVE, Filter.CAPACITOR_INPUT, VALVE, dc_current=3.0, capacitance=16e-6)
    with pytest.raises(ValueError, match="can't give 3 A"):
        solve([greedy])

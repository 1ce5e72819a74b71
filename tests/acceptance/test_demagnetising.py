"""What an ohmmeter leaves in the core, and how the volts are taken off."""

from __future__ import annotations

from bench.acceptance.requests import Connect, Excite
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import IdealBench, run_ideal


def _cautions(bench: IdealBench, step: str) -> tuple[str, ...]:
    return next(r.cautions for r in bench.seen if isinstance(r, Connect) and r.step == step)


def _off(bench: IdealBench, step: str) -> list[str]:
    return [r.text for r in bench.seen if isinstance(r, Excite) and r.step == step and r.volts == 0]


def test_a_milliampere_leaves_nothing_worth_asking_for() -> None:
    _, bench = run_ideal()
    assert not any("magnetise" in line for line in _cautions(bench, "resistance:primary"))
    assert _off(bench, "first_power")[-1] == ""


def test_a_large_test_current_is_told_at_the_winding_and_run_out_at_first_power() -> None:
    _, bench = run_ideal(equipment={"test_currents": ((100.0, 0.1), (1e3, 0.01), (1e6, 1e-4))})
    told = _cautions(bench, "resistance:primary")[-1]
    assert told.startswith("The ohmmeter sends 100 mA through primary, 156 % of the ampere turns")
    assert "before the meter comes off" in told
    # 0.1 A through 19 turns is next to nothing.
    assert not any("magnetise" in line for line in _cautions(bench, "resistance:heater"))
    assert "slowly down to zero" in _off(bench, "first_power")[-1]


def test_the_exciting_curve_ends_slowly_at_zero() -> None:
    _, bench = run_ideal()
    assert "slowly down to zero" in _off(bench, "exciting")[-1]


def test_test_currents_come_from_the_meters_profile_and_the_bench_file() -> None:
    from bench.acceptance.instrument import HandInstrument
    from drivers.accuracy import Accuracy
    from drivers.profile_files import load_meter_profile

    ranges = load_meter_profile("scpi").functions[Quantity.RESISTANCE].ranges
    assert all(one.test_current is not None for one in ranges)
    hand = HandInstrument(lambda ask: "", {Quantity.RESISTANCE: Accuracy(percent_of_reading=1.0)}, test_current=0.2)
    assert [current for _, current in hand.test_currents] == [0.2]

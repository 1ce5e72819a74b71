"""Readings as found through a meter, the machine alone: what is asked, in which order, what is kept, what ends it."""

from __future__ import annotations

from typing import Any

import pytest

from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.limiter import Limiter
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Skipped, Stopped, Take, Trouble
from bench.job.as_found import AsFound
from bench.job.bench_file import MeterAccuracy
from bench.survey.evidence import evidence_of
from bench.survey.gathered import gather
from bench.survey.limiter_share import least_share
from bench.survey.reading import ReadingDone, ReadingSummary
from bench.survey.reading_context import ReadingContext
from drivers.reading import Quantity
from tests.survey.found_bench import ALL, FoundBench, Watch, found_unit, new_reading
from tests.survey.units import RULES, TRUE, a_job


def read(
    found: AsFound | None = None, bench: FoundBench | None = None, **more: Any
) -> tuple[FoundBench, ReadingSummary]:
    bench = bench or FoundBench()
    return bench, bench.run(new_reading(found, **more))


def parts(bench: FoundBench, part: str) -> list[dict[str, Any]]:
    return [body for _, body in bench.kept if body.get("part") == part]


# -- what is asked, and kept -------------------------------------------------------------------------


def test_the_order_is_that_of_least_risk() -> None:
    bench, summary = read()
    steps = [getattr(one, "step", "") for one in bench.seen]
    first = [steps.index(f"found:{name}") for name in ("start", "temperature", "insulation:primary")]
    then = [steps.index(f"found:{name}") for name in ("resistance:leads", "frequency", "low:primary", "first_power")]
    last = [steps.index(f"found:{name}") for name in ("open:primary", "exciting", "end")]
    assert [*first, *then, *last] == sorted([*first, *then, *last])
    assert (summary.ended, summary.not_read, summary.trouble) == ("", (), False)


def test_what_is_kept_is_what_the_survey_gathers() -> None:
    bench, _ = read()
    gathered = gather(found_unit(), bench.kept)
    found = gathered.found
    assert gathered.left_out == ()
    assert {one.winding: one.resistance for one in found.insulation} == dict.fromkeys(TRUE, 85e6)
    assert {one.winding for one in found.resistance} == {*TRUE, "ht.centre", "ht.finish"}
    evidence = evidence_of(found, RULES, lambda _: MeterAccuracy())
    ratios = {one.winding: one.volts.value / one.fed_volts.value for one in evidence.volts}
    turns = {"ht": 1292, "ht.centre": 646, "ht.finish": 646, "rectifier": 13, "heater": 16}
    assert ratios == pytest.approx({name: 0.996 * one / 280 for name, one in turns.items()}, rel=1e-5)
    assert (found.fed, found.frequency, len(found.exciting)) == ("primary", 50.0, 8)


def test_the_doubt_of_a_ratio_is_the_meter_s_own_and_its_gain_cancels() -> None:
    bench, _ = read()
    evidence = evidence_of(gather(found_unit(), bench.kept).found, RULES, lambda _: MeterAccuracy())
    pair = next(one for one in evidence.volts if one.winding == "heater")
    assert pair.volts.relative == pytest.approx(5e-4, rel=0.01)
    assert (pair.volts / pair.fed_volts).relative < 3e-5
    assert evidence.resistances["ht"].parts["ideal:gain"] == pytest.approx(176 * 5e-4)


def test_each_reading_is_given_to_the_record_before_the_next_is_asked_for() -> None:
    bench = FoundBench()
    reading = new_reading()
    request = reading.start()
    while not (isinstance(request, Connect) and request.step == "found:open:rectifier"):
        bench.seen.append(request)
        request = reading.feed(bench.answer(request))
    kept = [body["winding"] for _, body in bench.kept if body["part"] == "volts" and float(body["voltage"][:-2]) > 50]
    assert kept == ["ht", "ht.centre", "ht.finish"]


def test_what_the_leads_show_is_taken_off() -> None:
    lead = FoundBench(change=lambda take, _, value: value + 0.2 if take.quantity is Quantity.RESISTANCE else value)
    bench, _ = read(bench=lead)
    ohms = {one["winding"]: float(one["resistance"].split()[0]) for one in parts(bench, "resistance")}
    assert ohms["heater"] == pytest.approx(0.049, abs=1e-6)


def test_four_wires_are_used_where_the_meter_has_them() -> None:
    bench, _ = read(quantities=ALL | {Quantity.RESISTANCE_4W})
    assert {one.quantity for one in bench.seen if isinstance(one, Take) and "resistance" in one.step} == {
        Quantity.RESISTANCE_4W
    }


def test_a_search_coil_is_read_and_never_fed() -> None:
    windings = [*found_unit().model_dump()["winding"], {"name": "probe", "search_coil": True, "turns": 5.0}]
    for one in windings[:-1]:
        one["nameplate_voltage"] = f"{one['nameplate_voltage']} V"
    unit = found_unit(winding=windings)
    bench = FoundBench(turns={**TRUE, "probe": 5.0})
    read(unit, bench)
    assert [one["winding"] for one in parts(bench, "volts")].count("probe") == 4
    assert not [one for one in bench.seen if isinstance(one, Enter) and "probe" in one.step]
    assert {one.winding for one in bench.feeds()} == {"primary"}


# -- volts, from what is known -----------------------------------------------------------------------


def test_without_a_ratio_no_terminal_passes_25_v_and_from_then_on_the_flux_it_was_made_for_is_the_measure() -> None:
    bench, _ = read()
    assert {one.hazard <= HANDS_OFF_VOLTS for one in bench.feeds("low voltage")} == {True}
    full = 117 * 50 / 60
    assert [one.volts for one in bench.feeds("variac") if one.limiter] == pytest.approx(
        [share * full for share in (0.1, 0.3, 0.6)]
    )
    assert {one.volts for one in bench.feeds("variac") if one.step == "found:open"} == {0.6 * full}
    assert max(one.volts for one in bench.feeds()) == pytest.approx(1.1 * 117)


def test_at_the_frequency_it_was_made_for_nothing_goes_beyond_and_nobody_is_asked() -> None:
    job = a_job(made_for={"voltage": "117 V", "frequency": "50 Hz"})
    bench, _ = read(job=job)
    assert max(one.volts for one in bench.feeds()) == pytest.approx(1.1 * 117)
    assert [one.step for one in bench.seen if isinstance(one, Confirm)] == [
        "found:start", "found:first_power", "found:end",
    ]  # fmt: skip


def test_at_a_higher_frequency_the_volts_end_at_those_of_the_plate() -> None:
    job = a_job(made_for={"voltage": "117 V", "frequency": "50 Hz"}, supply={"voltage": "117 V", "frequency": "60 Hz"})
    bench, _ = read(job=job, hertz=60.0, bench=FoundBench(frequency=60.0))
    assert max(one.volts for one in bench.feeds()) <= 1.1 * 117 * 1.0001


def test_a_plate_of_two_frequencies_is_taken_at_the_lower() -> None:
    job = a_job(made_for={"voltage": "117 V", "frequency": "60 Hz", "or_frequency": "50 Hz"})
    bench, _ = read(job=job)
    assert max(one.volts for one in bench.feeds() if one.limiter) == pytest.approx(0.6 * 117)


def test_beyond_the_flux_it_was_made_for_only_after_a_yes() -> None:
    bench = FoundBench()
    reading = new_reading()
    request = reading.start()
    while not isinstance(request, ReadingDone):
        bench.seen.append(request)
        no = isinstance(request, Confirm) and request.step == "found:exciting"
        request = reading.feed(Skipped("enough") if no else bench.answer(request))
    assert len(parts(bench, "exciting")) == 6
    assert max(one.volts for one in bench.feeds()) == pytest.approx(1.1 * 117 * 50 / 60)


def test_the_rise_ends_at_the_knee_and_no_gapped_core_is_taken_for_one() -> None:
    knee = FoundBench(amps=lambda volts: 1e-3 * volts * (1 + (volts / 90) ** 20))
    read(bench=knee)
    assert max(one.volts for one in knee.feeds()) == pytest.approx(97.5)
    gapped = FoundBench(amps=lambda volts: 2e-3 * volts)
    read(bench=gapped)
    assert len(parts(gapped, "exciting")) == 8


def test_without_an_ammeter_the_known_resistor_tells_the_current() -> None:
    bench, summary = read(quantities=ALL - {Quantity.CURRENT_AC}, series_ohms=100.0)
    points = parts(bench, "exciting")
    series = sorted({one.volts for one in bench.feeds() if one.series_ohms is not None})
    assert len(points) == len(series) == 8
    for asked, point in zip(series, points, strict=True):
        volts, amps = float(point["voltage"].split()[0]), float(point["current"].split()[0])
        # What the winding does not get, the resistor takes.
        assert amps == pytest.approx((asked - volts) / 100.0, rel=1e-3)
    assert summary.not_read == ()


def test_the_known_resistor_is_not_burnt() -> None:
    _, summary = read(quantities=ALL - {Quantity.CURRENT_AC}, series_ohms=10e3)
    assert not [one for one in summary.not_read if "bears" in one.reason]
    hot = FoundBench(amps=lambda volts: 0.02 * volts)
    _, summary = read(bench=hot, quantities=ALL - {Quantity.CURRENT_AC}, series_ohms=100.0)
    assert "the resistor bears 10 W" in [one.reason for one in summary.not_read]


def test_with_neither_ammeter_nor_resistor_the_rest_is_read() -> None:
    bench, summary = read(quantities=ALL - {Quantity.CURRENT_AC})
    assert [one.what for one in summary.not_read] == ["exciting current"]
    assert len({one["winding"] for one in parts(bench, "volts")}) == 5


def test_the_winding_of_the_file_s_curve_is_fed_before_the_primary() -> None:
    bench, _ = read(found_unit(fed="heater", frequency="50 Hz"))
    assert {one.winding for one in bench.feeds()} == {"heater"}
    # What it was made for is known by its ratio to the primary.
    most = max(one.volts for one in bench.feeds() if one.limiter)
    assert most == pytest.approx(0.6 * 117 * 50 / 60 * 16 / 280, rel=0.01)


def test_with_no_plate_no_role_and_no_count_the_ohms_choose_and_a_few_volts_are_all() -> None:
    unit = AsFound.model_validate({"winding": [{"name": name} for name in TRUE]})
    bench, summary = read(unit)
    assert {(one.winding, one.source) for one in bench.feeds()} == {("ht", "low voltage")}
    assert "nothing tells what ht was made for" in summary.ended
    assert {one["winding"] for one in parts(bench, "volts")} == set(TRUE) - {"ht"}


# -- gates -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bench", "told"),
    [
        (FoundBench(typed={"found:insulation:ht": "2 Mohm"}), "insulation of ht is 2.00 Mohm, below 10 Mohm"),
        (FoundBench(skipped=frozenset({"found:insulation:ht"})), "insulation of ht was not read"),
    ],
)
def test_nothing_is_fed_past_the_insulation_s_gate_without_a_reason(bench: FoundBench, told: str) -> None:
    _, summary = read(bench=bench)
    assert bench.feeds() == []
    assert summary.ended.startswith("not fed: ")
    assert told in summary.ended
    assert len(parts(bench, "resistance")) == 6
    bench.seen.clear()
    read(bench=bench, reason="dried, and the tester's battery is flat")
    assert len(parts(bench, "exciting")) == 8


def test_insulation_that_was_read_before_stands_when_it_is_skipped() -> None:
    reading = new_reading()
    reading.context.insulation |= dict.fromkeys(TRUE, 120e6)
    bench = FoundBench(skipped=frozenset({f"found:insulation:{name}" for name in TRUE}))
    assert bench.run(reading).ended == ""
    asked = next(one for one in bench.seen if isinstance(one, Enter) and one.step == "found:insulation:ht")
    assert "It was 120 Mohm; to skip keeps that." in asked.text


def test_a_winding_over_range_is_looked_at_twice_told_and_never_fed() -> None:
    def broken(take: Take, connect: Connect, value: float) -> float | None:
        return None if connect.winding == "primary" and take.quantity is Quantity.RESISTANCE and value else value

    bench, summary = read(bench=FoundBench(change=broken))
    assert [one.step for one in bench.seen if isinstance(one, Connect)].count("found:resistance:primary") == 2
    assert ("note", {"text": "resistance as found: over range, open", "winding": "primary"}) in bench.kept
    assert "primary" not in {one.winding for one in bench.feeds()}
    assert not [one for one in parts(bench, "volts") if one["winding"] == "primary"]
    assert any(one.what == "volts of primary" and one.reason == "it is open" for one in summary.not_read)


def test_a_winding_that_reads_once_after_all_is_not_open() -> None:
    seen: list[str] = []

    def bad_clip(take: Take, connect: Connect, value: float) -> float | None:
        first = take.step == "found:resistance:ht" and not seen
        seen.extend([take.step] if first else [])
        return None if first else value

    bench, summary = read(bench=FoundBench(change=bad_clip))
    assert summary.ended == ""
    assert "ht" in {one["winding"] for one in parts(bench, "resistance")}


def test_where_nothing_tells_what_a_winding_gives_nothing_is_fed() -> None:
    plates = {"primary": "117 V", "heater": "6.3 V"}
    bench = FoundBench(skipped=frozenset({"found:resistance:ht", "found:resistance:ht.centre"}))
    _, summary = read(found_unit(plates), bench, reason="I know what I do")
    assert bench.feeds() == []
    assert "nothing tells how many volts ht gives" in summary.ended


def test_a_primary_with_the_ohms_of_a_heater_is_not_fed_whatever_the_reason() -> None:
    leads = {"primary": "heater", "heater": "primary"}
    bench, summary = read(bench=FoundBench(leads=leads), reason="I know what I do")
    assert bench.feeds() == []
    assert "shorted, or the leads of another winding" in summary.ended


@pytest.mark.parametrize("exchanged", [("primary", "ht"), ("ht", "heater"), ("ht", "rectifier")])
def test_leads_of_another_winding_are_found_out_at_a_few_volts(exchanged: tuple[str, str]) -> None:
    one, other = exchanged
    bench, summary = read(bench=FoundBench(leads={one: other, other: one}))
    assert bench.feeds("variac") == []
    assert "not the winding that it is taken for" in summary.ended or "leads of another winding" in summary.ended
    assert one not in {body["winding"] for body in parts(bench, "volts")}


def test_counts_stand_for_a_plate_that_is_missing() -> None:
    unit = found_unit({"primary": "117 V"})
    counted = [one.model_copy(update={"turns": TRUE[one.name], "turns_within": 1.0}) for one in unit.winding]
    bench, summary = read(unit.model_copy(update={"winding": tuple(counted)}))
    assert summary.ended == ""
    assert max(one.hazard for one in bench.feeds("low voltage")) > 15


def test_a_winding_without_a_plate_is_not_brought_to_thousands_of_volts() -> None:
    unit = found_unit({"primary": "117 V", "rectifier": "5 V", "heater": "6.3 V"})
    bench = FoundBench(turns={**TRUE, "ht": 6000.0}, ohms={**dict(bench_ohms()), "ht": 3000.0})
    _, summary = read(unit, bench)
    assert bench.feeds("variac") == []
    assert "no plate says so: write its nameplate_voltage" in summary.ended


def bench_ohms() -> dict[str, float]:
    return FoundBench().ohms


def test_a_unit_that_holds_the_volts_down_is_fed_no_further() -> None:
    bench = FoundBench(holds=0.7)
    _, summary = read(bench=bench, limiter=Limiter(watts=500.0))
    assert "primary holds behind the limiter 70 %" in summary.ended
    assert {one.limiter for one in bench.feeds("variac")} == {True}
    shorted = FoundBench(holds=0.3)
    _, summary = read(bench=shorted)
    assert "primary holds 30 % of 3.3 V: shorted turns" in summary.ended
    assert shorted.feeds("variac") == []


def test_a_core_that_takes_more_than_a_small_lamp_passes_is_not_called_shorted() -> None:
    _, summary = read(bench=FoundBench(holds=0.7))
    assert summary.ended == ""
    assert _least() < 0.7 < _least(watts=500.0) == 0.8
    # Nothing is known of a core without laminations: then the usual share is all.
    assert _least(a_job(core={})) == 0.8
    assert _least(watts=5.0) == 0.5


def _least(job: Any = None, watts: float = 60.0) -> float:
    return least_share(job or a_job(), found_unit(), Limiter(watts=watts), 58.5, 117.0, 50.0, RULES)


def test_behind_the_limiter_more_volts_are_not_put_on_what_is_shorted() -> None:
    bench = FoundBench()
    reading = new_reading()
    request = reading.start()
    while not isinstance(request, ReadingDone):
        bench.seen.append(request)
        bench.holds = 0.3 if isinstance(bench.excited, Excite) and bench.excited.limiter else 1.0
        request = reading.feed(bench.answer(request))
    assert [one.volts for one in bench.feeds("variac")] == pytest.approx([9.75])
    assert "a lamp of more watts tells" in request.summary.ended


def test_a_supply_of_another_frequency_is_trouble_and_ends_it() -> None:
    bench = FoundBench(frequency=60.0)
    _, summary = read(bench=bench)
    assert summary.trouble
    assert "the supply runs at 60 Hz, the job expects 50 Hz" in summary.ended
    assert {one.step for one in bench.feeds()} == {"found:frequency"}


def test_a_supply_that_gives_nothing_is_trouble_and_no_verdict_on_the_winding() -> None:
    _, summary = read(bench=FoundBench(holds=0.001))
    assert summary.trouble
    assert "supply, fuse, lamp, leads?" in summary.ended


def test_a_meter_without_hertz_takes_the_nominal_for_true_and_says_so() -> None:
    bench, summary = read(quantities=ALL - {Quantity.FREQUENCY})
    assert [one.what for one in summary.not_read] == ["frequency"]
    assert {one["frequency"] for one in parts(bench, "volts")} == {"50 Hz"}


# -- broken off --------------------------------------------------------------------------------------


@pytest.mark.parametrize("way", [Stopped("enough"), Skipped("later"), Trouble("meter gone")])
@pytest.mark.parametrize("at", ["found:frequency", "found:low:ht", "found:first_power", "found:open:ht"])
def test_broken_off_anywhere_the_volts_go_to_zero_and_the_unit_is_unplugged(at: str, way: Exception) -> None:
    bench, reading = FoundBench(), new_reading()
    watch = Watch(reading)
    request = reading.start()
    while not isinstance(request, ReadingDone):
        bench.seen.append(request)
        watch.see(request)
        failing = isinstance(request, Take) and request.step == at
        request = reading.feed(way if failing else bench.answer(request))
    watch.see(request)
    last = [one for one in bench.seen if isinstance(one, (Excite, Confirm))]
    assert isinstance(last[-1], Confirm)
    assert last[-1].step == "found:end"
    assert isinstance(last[-2], Excite)
    assert last[-2].volts == 0.0
    if isinstance(way, Trouble):
        assert request.summary.trouble
        assert "meter gone" in request.summary.ended


def test_volts_that_nobody_confirmed_are_taken_off() -> None:
    bench, reading = FoundBench(), new_reading()
    request = reading.start()
    while not (isinstance(request, Excite) and request.step == "found:open"):
        request = reading.feed(bench.answer(request))
    assert isinstance(request, Excite)
    off = reading.feed(Stopped("not sure"))
    assert isinstance(off, Excite)
    assert off.volts == 0.0


def test_volts_to_zero_that_are_not_confirmed_end_it() -> None:
    bench, reading = FoundBench(), new_reading()
    request = reading.start()
    while not (isinstance(request, Take) and request.step == "found:low:ht"):
        request = reading.feed(bench.answer(request))
    request = reading.feed(Stopped("enough"))
    assert isinstance(request, Excite)
    request = reading.feed(Stopped("no"))
    while not isinstance(request, ReadingDone):
        assert not isinstance(request, Excite)
        request = reading.feed(bench.answer(request))
    assert request.summary.ended.startswith("stopped: enough")


def test_whoever_breaks_off_from_outside_is_told_what_takes_the_volts_off() -> None:
    bench, reading = FoundBench(), new_reading()
    request = reading.start()
    assert reading.to_zero() is None
    while not (isinstance(request, Take) and request.step == "found:open:ht"):
        request = reading.feed(bench.answer(request))
    off = reading.to_zero()
    assert off is not None
    assert (off.volts, off.hazard, off.winding) == (0.0, 0.0, "primary")


def test_cautions_come_in_full_with_the_first_volts_of_each_kind() -> None:
    bench, _ = read()
    low = next(one for one in bench.seen if isinstance(one, Excite))
    assert any("Low volts are low only where they are put in" in line for line in low.cautions)
    confirm = next(one for one in bench.seen if isinstance(one, Confirm) and one.step == "found:first_power")
    assert any("Mains kills" in line for line in confirm.cautions)
    high = next(one for one in bench.seen if isinstance(one, Excite) and one.hazard > 300)
    assert any("300 V" in line for line in high.cautions)


def test_the_context_knows_no_step_up_below_one() -> None:
    reading = new_reading()
    assert isinstance(reading.context, ReadingContext)
    assert reading.context.step_up == 1.0

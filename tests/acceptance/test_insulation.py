"""Insulation of every winding and screen, and the pair that is low."""

from __future__ import annotations

import pytest

from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Enter, Excite
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, run_ideal


def _asked(bench: IdealBench) -> list[tuple[str, tuple[str, str] | None]]:
    return [(r.step, r.between) for r in bench.seen if isinstance(r, Enter) and r.step.startswith("insulation:")]


def test_every_winding_and_every_screen_is_read_to_all_the_rest() -> None:
    _, bench = run_ideal()
    names = ("primary", "ht", "rectifier", "heater", "screen")
    assert _asked(bench) == [(f"insulation:{name}", (name, "rest")) for name in names]
    text = next(r.text for r in bench.seen if isinstance(r, Enter) and r.step == "insulation:screen")
    assert "core" in text
    assert "off the earth" in text


def test_a_band_is_tied_to_the_core() -> None:
    job = coastal_receiver()
    banded = job.model_copy(update={"core": job.core.model_copy(update={"band": True})})
    _, bench = run_ideal(banded)
    assert all("core and band" in r.text for r in bench.seen if isinstance(r, Enter) and "insulation" in r.step)


@pytest.mark.parametrize(
    ("low", "pair", "asked"),
    [
        (("primary", "screen"), "primary-screen", ["primary-screen", "primary-core", "screen-core"]),
        (("heater",), "heater-core", ["heater-core"]),
        (("screen",), "screen-core", ["screen-core"]),
    ],
)
def test_the_pair_that_is_low_is_named(low: tuple[str, ...], pair: str, asked: list[str]) -> None:
    typed = {f"insulation:{name}": "0.5 Mohm" for name in (*low, pair)}
    result, bench = run_ideal(typed=typed)
    assert [step.partition(":")[2] for step, between in _asked(bench) if "rest" not in (between or ())] == asked
    assert next(s for s in result.steps if s.id == f"insulation:{pair}").verdict is Verdict.REJECTED
    assert result.findings[0].fault == "insulation_low"
    assert result.findings[0].winding == pair.replace("-", " to ")
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]


def test_what_was_not_read_may_be_the_other_side() -> None:
    _, bench = run_ideal(typed={"insulation:primary": "0.5 Mohm"}, skipped=frozenset({"insulation:ht"}))
    pairs = [between for _, between in _asked(bench) if between is not None and "rest" not in between]
    assert pairs == [("primary", "ht"), ("primary", "core")]


def test_a_screen_that_is_not_read_bars_mains() -> None:
    result, bench = run_ideal(skipped=frozenset({"insulation:screen"}))
    assert result.verdict is Verdict.INCOMPLETE
    assert not [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac"]


def test_a_pair_that_is_not_read_is_said_and_condemns_no_more() -> None:
    result, _ = run_ideal(typed={"insulation:heater": "0.5 Mohm"}, skipped=frozenset({"insulation:heater-core"}))
    one = next(one for one in result.not_done if one.id == "insulation:heater-core")
    assert not one.required
    assert "which pair is low is not told" in one.reason


def test_a_tester_at_the_top_of_its_range_asks_for_no_pair() -> None:
    _, bench = run_ideal(typed={"insulation:primary": ">50 Mohm"})
    assert all("rest" in (between or ()) for _, between in _asked(bench))

"""The campaign of readings in short: no reading is another query's, none takes longer than its deadline."""

from __future__ import annotations

from tests.campaigns.readings import run_lanes, table


def test_a_meter_on_a_bad_line_gives_its_own_answers_or_says_why_not():
    outcomes = run_lanes(readings=1500, lanes=5, seed=int.from_bytes(b"short"), rate=0.04)
    shown = "\n".join(table(outcomes))
    assert [outcome.another for outcome in outcomes] == [[]] * 5, shown
    assert all(outcome.longest_s <= outcome.deadline_s for outcome in outcomes), shown
    assert [(outcome.refused > 0, outcome.not_refused) for outcome in outcomes] == [(True, 0)] * 5, shown
    assert sum(outcome.came["good"] for outcome in outcomes) > 900, shown
    assert sum(sum(outcome.faults.values()) for outcome in outcomes) > 100, shown

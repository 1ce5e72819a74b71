"""What an import is held against, beside what another reader of JSON Schema says of the same."""

from __future__ import annotations

from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.records.certificate import Given, page
from bench.records.certificate.facts import facts_of
from bench.records.entry import Kind
from bench.records.exchange.bodies import BODIES
from bench.records.exchange.inert_page import POLICY, page_problem
from bench.records.exchange.shape import misfit
from bench.records.store import Store
from tests.records.exchange.kept import NUMBER, bodies, keep_whole_job

_VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**17), 10**17), st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=30), st.lists(st.none() | st.integers() | st.text(max_size=3), max_size=5),
    st.dictionaries(st.sampled_from(["source", "u", "sensitivity", "form"]), st.floats(0, 9) | st.text(max_size=2)),
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_both_agree_on_whatever_stands_in_a_body(data: st.DataObject) -> None:
    kind, body = data.draw(st.sampled_from(bodies()))
    changed: dict[str, Any] = dict(body)
    for key in data.draw(st.lists(st.sampled_from([*BODIES[kind]["properties"], "other"]), max_size=3)):
        changed[key] = data.draw(_VALUES)
    for key in data.draw(st.lists(st.sampled_from(sorted(body)), max_size=1)):
        changed.pop(key, None)
    validator = jsonschema.Draft202012Validator(BODIES[kind])
    assert (misfit(changed, BODIES[kind]) == "") is validator.is_valid(changed), (kind, changed)


@pytest.mark.parametrize("kind", sorted(BODIES))
def test_each_is_a_schema(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(BODIES[kind])


def test_a_certificate_of_ours_is_one_in_which_nothing_runs(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with Store(tmp_path / "r.sqlite") as store:
        keep_whole_job(store, tmp_path)
        store.append(NUMBER, Kind.NOTE, {"text": "<script>alert(1)</script><a href=x onclick=y>"})
        made = page(facts_of(store, NUMBER), Given(1, "2026-03-01")).encode()
    assert made.startswith(POLICY)
    assert page_problem("a.html", lambda: made) == ""

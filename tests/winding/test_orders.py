"""Orders as they are typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.winding.orders import Act, Order, order_of


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("", Order(Act.NEXT)),
        ("HOLD  for tea ", Order(Act.HOLD, None, "for tea")),
        ("set 412,5 counted again", Order(Act.SET, 412.5, "counted again")),
        ("back 3", Order(Act.BACK, 3.0)),
        ("q", Order(Act.LEAVE)),
        ("note the reel is nearly empty", Order(Act.NOTE, None, "the reel is nearly empty")),
    ],
)
def test_orders_as_they_are_typed(line: str, order: Order) -> None:
    assert order_of(line) == order


@pytest.mark.parametrize("line", ["jump", "set", "set 412", "set many of them", "back", "back three", "back 1e3"])
def test_what_is_no_order_says_what_was_expected(line: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        order_of(line)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_an_order_or_refused(line: str) -> None:
    said = ""
    try:
        order_of(line)
    except ValueError as problem:
        said = str(problem)
    assert not said or "expected" in said

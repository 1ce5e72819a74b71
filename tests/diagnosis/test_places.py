"""Which place belongs to which of two faults."""

from __future__ import annotations

import pytest

from bench.acceptance.fault_places import places


@pytest.mark.parametrize(
    ("fault", "winding", "expected"),
    [
        ("turns_wrong", "heater", (("turns_wrong", "heater"),)),
        ("core_gap", "", (("core_gap", ""),)),
        ("core_gap+turns_wrong", "heater", (("core_gap", ""), ("turns_wrong", "heater"))),
        ("turns_wrong+joint_poor", "heater + ht.finish", (("turns_wrong", "heater"), ("joint_poor", "ht.finish"))),
        ("leads_swapped", "rectifier and heater", (("leads_swapped", "rectifier and heater"),)),
    ],
)
def test_a_place_belongs_to_the_fault_that_has_one(
    fault: str, winding: str, expected: tuple[tuple[str, str], ...]
) -> None:
    assert places(fault, winding) == expected

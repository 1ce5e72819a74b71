"""Block and cheeks as a file for the printer: closed, as large as arithmetic says, side by side, from the bed up."""

from __future__ import annotations

import itertools
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.workshop.solid import LibraryMissing, Solid, block_solid, cheek_solid, laid_out
from bench.workshop.stl import stl_bytes
from bench.workshop.support import Support, support_for
from tests.workshop.jobs import OPENER, RECEIVER
from tests.workshop.stl_reader import Shell, StlFile, read_stl

PLANS = pytest.mark.parametrize("plan", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


def written(support: Support) -> StlFile:
    return read_stl(stl_bytes(laid_out(support), "Block"))


def sound(shells: list[Shell], support: Support) -> None:
    """Three watertight shells, their volumes those of arithmetic within 0.1 %."""
    assert [shell.open_edges for shell in shells] == [0, 0, 0]
    cheek, block = support.cheek_volume * 1e9, support.block_volume * 1e9
    assert sorted(shell.volume for shell in shells) == pytest.approx(sorted([cheek, block, cheek]), rel=1e-3)


@PLANS
def test_the_file_holds_three_watertight_shells_of_the_volume_of_arithmetic(plan: object) -> None:
    support = support_for(plan)  # type: ignore[arg-type]
    file = written(support)
    sound(file.shells, support)
    assert file.wrong_normals == 0
    assert file.head.startswith(b"Block ")


@given(st.floats(2e-3, 25e-3), st.floats(0, 0.5e-3), st.floats(0.5e-3, 10e-3), st.floats(1e-3, 32e-3))
@settings(max_examples=25, deadline=None)
def test_any_sizes_give_a_sound_file(spindle: float, clearance: float, overhang: float, slot: float) -> None:
    support = support_for(RECEIVER, spindle=spindle, clearance=clearance, overhang=overhang, slot=slot)
    file = written(support)
    sound(file.shells, support)
    assert file.wrong_normals == 0


def test_parts_stand_on_the_bed_and_apart() -> None:
    support = support_for(RECEIVER)
    bounds = sorted(shell.bounds for shell in written(support).shells)
    assert all(low[2] == 0 for low, _ in bounds)
    for (_, high), (low, _) in itertools.pairwise(bounds):
        assert low[0] - high[0] == pytest.approx(8, abs=1e-3)
    (low, high) = bounds[1]
    sizes = [high[k] - low[k] for k in range(3)]
    assert sizes == pytest.approx([31.8, 44.8, 48.0], abs=1e-3)


def test_what_goes_into_the_hole_has_its_whole_diameter() -> None:
    support = support_for(RECEIVER)
    for solid in (block_solid(support), cheek_solid(support)):
        rims = [tuple(v) for v in solid.vertices if (v[0] ** 2 + v[1] ** 2) ** 0.5 < support.hole]
        # The sides of the polygon touch the circle: the middle of a side is as near as any point of it.
        near = min(
            (((a[0] + b[0]) / 2) ** 2 + ((a[1] + b[1]) / 2) ** 2) ** 0.5
            for a in rims
            for b in rims
            if 0 < (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 < 0.5e-3**2 and a[2] == b[2]
        )
        assert near == pytest.approx(support.hole / 2, rel=1e-6)


def test_a_solid_knows_its_volume_wherever_it_stands() -> None:
    solid = block_solid(support_for(OPENER))
    assert isinstance(solid, Solid)
    assert solid.moved(0.3, -0.2, 0.1).volume == pytest.approx(solid.volume)


def test_without_the_library_one_line_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "manifold3d", None)
    with pytest.raises(LibraryMissing, match=r"pip install -e '.\[solid\]'"):
        block_solid(support_for(RECEIVER))


def test_a_title_that_would_be_taken_for_the_textual_form_is_refused() -> None:
    solids = laid_out(support_for(RECEIVER))
    with pytest.raises(ValueError, match="textual"):
        stl_bytes(solids, "solid block")
    with pytest.raises(ValueError, match="no solid"):
        stl_bytes([], "Block")

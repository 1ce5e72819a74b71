"""What must hold of leakage wherever the coils lie: symmetry, energy, sandwiching, limits of the window."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.magnetics.leakage import Coil, Window, leakage_inductance, leakage_matrix
from bench.magnetics.steel import MU_0

WINDOW = Window(width=0.016, height=0.048)


def _coil(turns: float, inner: float, thickness: float, length: float = 0.042, offset: float = 0.0) -> Coil:
    return Coil(turns, inner, inner + thickness, 0.154 + 2 * math.pi * (inner + thickness / 2), length, offset)


@st.composite
def coils(draw: st.DrawFn) -> list[Coil]:
    found = []
    for _ in range(draw(st.integers(1, 5))):
        inner = draw(st.floats(0.0, 0.012))
        length = draw(st.floats(0.005, 0.048))
        offset = draw(st.floats(-1.0, 1.0)) * (WINDOW.height - length) / 2
        turns = draw(st.floats(1.0, 2000.0)) * draw(st.sampled_from([-1.0, 1.0]))
        found.append(_coil(turns, inner, draw(st.floats(1e-4, 0.004)), length, offset))
    return found


@given(coils())
def test_the_matrix_is_symmetric_and_no_current_has_less_than_no_energy(some: list[Coil]) -> None:
    matrix = leakage_matrix(some, WINDOW)
    assert np.array_equal(matrix, matrix.T) or np.allclose(matrix, matrix.T, rtol=1e-12)
    assert np.linalg.eigvalsh(matrix).min() >= -1e-12 * np.abs(matrix).max()


@given(coils(), st.floats(0.1, 10.0))
def test_a_coil_cut_in_two_is_the_coil(some: list[Coil], share: float) -> None:
    first, *others = some
    cut = first.inner + (first.outer - first.inner) / (1 + share)
    part = (cut - first.inner) / (first.outer - first.inner)

    def piece(inner: float, outer: float, turns: float) -> Coil:
        length = first.mean_turn + 2 * math.pi * ((inner + outer) / 2 - first.middle)
        return replace(first, inner=inner, outer=outer, turns=turns, mean_turn=length)

    halves = [piece(first.inner, cut, first.turns * part), piece(cut, first.outer, first.turns * (1 - part))]
    whole, apart = leakage_matrix(some, WINDOW), leakage_matrix([*halves, *others], WINDOW)
    joined = np.vstack([apart[0] + apart[1], apart[2:]])
    joined = np.column_stack([joined[:, 0] + joined[:, 1], joined[:, 2:]])
    # The even part is exact; in the uneven one each piece takes the root of its own mean turn.
    assert np.allclose(joined, whole, rtol=2e-3, atol=2e-3 * np.abs(whole).max())


def test_a_reversed_coil_changes_the_signs_only() -> None:
    one, other = _coil(662, 0.0012, 0.006), _coil(1554, 0.008, 0.006)
    plain, turned = leakage_matrix([one, other], WINDOW), leakage_matrix([one, replace(other, turns=-1554)], WINDOW)
    assert turned[0, 1] == pytest.approx(-plain[0, 1])
    assert turned[1, 1] == pytest.approx(plain[1, 1])
    assert leakage_inductance([one], [replace(other, turns=-1554)], WINDOW) == pytest.approx(
        leakage_inductance([one], [other], WINDOW)
    )


def test_referred_to_the_other_side_it_goes_with_the_square_of_the_turns() -> None:
    one, other = _coil(662, 0.0012, 0.006), _coil(1554, 0.008, 0.006)
    forth, back = leakage_inductance([one], [other], WINDOW), leakage_inductance([other], [one], WINDOW)
    assert back == pytest.approx(forth * (1554 / 662) ** 2, rel=1e-12)


def test_coils_as_long_as_the_window_give_the_handbook_formula() -> None:
    # mu0 N^2 (Lmt / L)(a + (b1 + b2)/3), the mean turn where half of the energy lies inside and half outside.
    inner, outer = _coil(100, 0.001, 0.006, WINDOW.height), _coil(100, 0.008, 0.006, WINDOW.height)
    expected = MU_0 * 100**2 * (0.154 + 2 * math.pi * 0.0075) / WINDOW.height * (0.001 + 0.012 / 3)
    assert leakage_inductance([inner], [outer], WINDOW) == pytest.approx(expected, rel=1e-9)


def test_a_sandwich_has_a_quarter_of_the_leakage() -> None:
    # No room between the coils and a turn of one length: the current sheet's height is halved, its area twice cut.
    wide = Window(width=1.0, height=0.048)

    def coil(turns: float, inner: float, thickness: float) -> Coil:
        return replace(
            _coil(turns, 0.5 + inner, thickness, 0.048), mean_turn=100.0 + 2 * math.pi * (inner + thickness / 2)
        )

    plain = leakage_inductance([coil(200, 0.0, 0.008)], [coil(10, 0.008, 0.008)], wide)
    sandwich = leakage_inductance([coil(100, 0.0, 0.004), coil(100, 0.012, 0.004)], [coil(10, 0.004, 0.008)], wide)
    assert sandwich == pytest.approx(plain / 4, rel=1e-3)


def test_the_inner_coil_has_the_leakage_and_the_outer_one_only_that_within_itself() -> None:
    matrix = leakage_matrix([_coil(100, 0.0012, 0.006), _coil(100, 0.008, 0.006)], WINDOW)
    assert matrix[0, 0] > 3 * matrix[1, 1]
    assert leakage_inductance([_coil(100, 0.0012, 0.006)], [_coil(100, 0.008, 0.006)], WINDOW) == pytest.approx(
        matrix[0, 0] + matrix[1, 1] - 2 * matrix[0, 1]
    )


def test_insulation_between_windings_adds_leakage_and_longer_coils_have_less() -> None:
    one = _coil(662, 0.0012, 0.006)
    near, far = _coil(19, 0.0075, 0.002), _coil(19, 0.0095, 0.002)
    assert leakage_inductance([one], [far], WINDOW) > leakage_inductance([one], [near], WINDOW)
    short = replace(near, length=0.02)
    assert leakage_inductance([one], [short], WINDOW) > leakage_inductance([one], [near], WINDOW)


def test_a_bifilar_pair_has_next_to_none() -> None:
    one = _coil(50, 0.0012, 0.001)
    assert leakage_inductance([one], [one], WINDOW) == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize(
    ("coil", "said"),
    [
        (_coil(10, 0.0, 0.017), "window is 0.016 m wide"),
        (_coil(10, 0.0, 0.001, length=0.049), "leaves the window"),
        (_coil(10, 0.0, 0.001, length=0.04, offset=0.005), "leaves the window"),
        (_coil(10, 0.002, 0.0), "outer face over its inner"),
        (_coil(10, -0.001, 0.002), "outer face over its inner"),
    ],
)
def test_a_coil_that_does_not_lie_in_the_window_is_refused(coil: Coil, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        leakage_matrix([coil], WINDOW)


def test_a_winding_whose_turns_cancel_is_refused() -> None:
    one = _coil(10, 0.0, 0.001)
    with pytest.raises(ValueError, match="must not sum to 0"):
        leakage_inductance([one, replace(one, turns=-10)], [_coil(5, 0.005, 0.001)], WINDOW)

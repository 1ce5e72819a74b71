"""How warm a small transformer gets: from its losses and its surface, estimated with its doubt."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from bench.magnetics.copper import at_temperature

__all__ = [
    "HIGHEST_SURFACE_LOAD",
    "LOWEST_SURFACE_LOAD",
    "SURFACE_COEFFICIENT",
    "RiseEstimate",
    "estimate_rise",
    "load_loss_at",
    "outer_surface",
    "rise_by_surface_coefficient",
    "rise_by_surface_load",
]

LOWEST_SURFACE_LOAD = 10.0
HIGHEST_SURFACE_LOAD = 2000.0
"""Where the two rules are used [W/m2]: rises of about 1.5 to 120 K. Beyond, the estimate says nothing."""

SURFACE_COEFFICIENT = 11.0
"""Heat given off by a varnished surface in still air, radiation included [W/(m2 K)]: 10 to 12, from memory."""

U_LOG_SURROUNDINGS = 0.15
"""What a place does to the rise (a chassis that cools, a cabinet that doesn't): u of its logarithm, from memory."""

_MOST_ROUNDS = 200


@dataclass(frozen=True)
class RiseEstimate:
    """Mean rise of core and coil over the air [K] with its standard uncertainty, and what it was made from.

    surface_load: by the surface loading rule [K]; surface_coefficient: by one coefficient for the whole surface [K];
    u_models: standard uncertainty from the difference of the two [K]; u_surroundings: from the place [K];
    loss: watts at that temperature [W].
    """

    rise: float
    u: float
    surface_load: float
    surface_coefficient: float
    u_models: float
    u_surroundings: float
    loss: float


def outer_surface(
    tongue: float, stack: float, window_width: float, window_height: float, build: float | None = None
) -> float:
    """Surface [m2] of an E-I core with its coil that air can reach; all lengths in m.

    tongue a, stack D, window w x h; side limbs and yokes are half a tongue (E-I proportions). The outline is
    W = 2a + 2w by H = a + h. `build`: how far the coil stands out before and behind the stack, 0 to w; w if not given.

        edges of the stack               2 (W + H) D
        both faces, less where the coil stands before them    2 (W H - (a + 2w) h)
        the coil before and behind       2 ((a + 2w) h + 2 (a + 2w) build + 2 h build)

    Left out: brackets, end bells and feet (more surface), the face that lies on a chassis (less, or much better
    cooled), the round corners of the coil (a few per cent less). Raises ValueError.
    Source: geometry; for the square 1.5 inch stack it gives the 479 cm2 of McLyman's first design example
    (Transformer and Inductor Design Handbook, 3rd ed., ch. 7, from memory).
    """
    build = window_width if build is None else build
    for name, value in (
        ("tongue", tongue), ("stack", stack), ("window width", window_width), ("window height", window_height)
    ):  # fmt: skip
        if not value > 0:
            raise ValueError(f"{name} is {value:g} m, expected more than 0")
    if not 0 <= build <= window_width:
        raise ValueError(f"a build of {build:g} m does not fit a window {window_width:g} m wide")
    width, height = 2 * tongue + 2 * window_width, tongue + window_height
    across = tongue + 2 * window_width
    edges = 2 * (width + height) * stack
    faces = 2 * (width * height - across * window_height)
    coil = 2 * (across * window_height + 2 * across * build + 2 * window_height * build)
    return edges + faces + coil


def rise_by_surface_load(loss: float, surface: float) -> float:
    """Rise [K] of a surface [m2] that gives off `loss` [W]: 450 (P/At)^0.826 with P in W and At in cm2.

    10 to 2000 W/m2. Raises ValueError outside.  Source: McLyman, Transformer and Inductor Design Handbook, 3rd ed.,
    ch. 6 and 7 (from memory): cores and coils in still air at 25 degC, emissivity 0.95.
    """
    return 450.0 * math.pow(_surface_load(loss, surface) * 1e-4, 0.826)


def rise_by_surface_coefficient(loss: float, surface: float, coefficient: float = SURFACE_COEFFICIENT) -> float:
    """Rise [K] = P / (h At), h [W/(m2 K)] the same at any rise.

    10 to 2000 W/m2. Raises ValueError outside.  Source: Newton's law of cooling; the value of h from memory.
    """
    if not coefficient > 0:
        raise ValueError(f"a surface coefficient of {coefficient:g} W/(m2 K), expected more than 0")
    return _surface_load(loss, surface) / coefficient


def estimate_rise(
    surface: float, core_loss: float, copper_loss: float, ambient: float, copper_temperature: float = 293.15
) -> RiseEstimate:
    """Mean rise of the unit over the air once it is warm, with its standard uncertainty.

    surface [m2]; core_loss [W]; copper_loss [W] as it is with the copper at `copper_temperature` [K]: warm copper has
    more ohms, so the loss and the rise are solved together; ambient [K]. The rise is the mean of the two rules, each
    with its own warm copper. u holds two parts: the rules' difference over the root of two (the standard deviation
    of two values), and 15 % for the place where it works (from memory).
    The hottest turn is some 5 to 15 K warmer than this mean (from memory); that is not in it.
    Raises ValueError for a surface load outside the rules, as it is when the warm copper would run away.
    """
    if core_loss < 0 or copper_loss < 0:
        raise ValueError("losses must not be negative")

    def warm(rule: Callable[[float, float], float]) -> tuple[float, float]:
        rise = rule(core_loss + copper_loss, surface)
        for _ in range(_MOST_ROUNDS):
            loss = core_loss + at_temperature(copper_loss, copper_temperature, ambient + rise)
            before, rise = rise, rule(loss, surface)
            if abs(rise - before) < 1e-9:
                return rise, loss
        raise ValueError(f"{copper_loss:g} W of copper loss has no steady temperature on {surface:g} m2")

    by_load, loss_one = warm(rise_by_surface_load)
    by_coefficient, loss_two = warm(rise_by_surface_coefficient)
    rise = (by_load + by_coefficient) / 2
    u_models, u_surroundings = abs(by_load - by_coefficient) / math.sqrt(2.0), U_LOG_SURROUNDINGS * rise
    return RiseEstimate(
        rise, math.hypot(u_models, u_surroundings), by_load, by_coefficient, u_models, u_surroundings,
        (loss_one + loss_two) / 2,
    )  # fmt: skip


def load_loss_at(ohmic: float, stray: float, temperature: float, new_temperature: float) -> tuple[float, float]:
    """Ohmic and stray load loss [W] at another copper temperature [K], both given at `temperature` [K].

    The ohmic part goes with the resistance, the eddy currents of the stray part against it. Raises ValueError.
    Source: A.S. Langsdorf, Theory of Alternating Current Machinery, Ex 1.15 p33.
    """
    if ohmic < 0 or stray < 0:
        raise ValueError("losses must not be negative")
    warmer = at_temperature(1.0, temperature, new_temperature)
    return ohmic * warmer, stray / warmer


def _surface_load(loss: float, surface: float) -> float:
    if not surface > 0:
        raise ValueError(f"surface is {surface:g} m2, expected more than 0")
    load = loss / surface
    if not LOWEST_SURFACE_LOAD <= load <= HIGHEST_SURFACE_LOAD:
        raise ValueError(
            f"{load:.3g} W/m2 of surface, expected {LOWEST_SURFACE_LOAD:g} to {HIGHEST_SURFACE_LOAD:g} W/m2"
        )
    return load

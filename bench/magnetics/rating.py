"""What a core and its window can carry: the output equation of transformer design."""

from __future__ import annotations

from bench.magnetics.emf import emf

__all__ = ["volt_amperes", "window_ampere_turns"]


def window_ampere_turns(window_area: float, window_utilisation: float, current_density: float) -> float:
    """RMS ampere turns that half of the copper in a window carries: Aw Ku J / 2, the other half being the other side's.

    window_area Aw [m2]; window_utilisation Ku: bare copper over window, 0 to 1 (0.2 to 0.35 by hand, common practice);
    current_density J [A/m2], the same in all windings.  Raises ValueError.
    Source: A.K. Sawhney, A Course in Electrical Machine Design, ch. 5.
    """
    if not (window_area > 0 and current_density > 0):
        raise ValueError("window area and current density must be more than 0")
    if not 0 < window_utilisation <= 1:
        raise ValueError(f"a window utilisation of {window_utilisation:g}, expected more than 0 and up to 1")
    return window_area * window_utilisation * current_density / 2


def volt_amperes(frequency: float, flux_density: float, core_area: float, ampere_turns: float) -> float:
    """Volt-amperes of one side: volts per turn x ampere turns, 2.22 f Bm Ai Aw Ku J with `window_ampere_turns`.

    frequency f [Hz], flux_density Bm [T] peak, core_area Ai [m2] net, ampere_turns [A rms].  Single phase, one window
    full of both sides; losses, drop and heat are not in it: they set J.  Raises ValueError.
    Source: A.K. Sawhney, A Course in Electrical Machine Design, ch. 5 (output equation).
    """
    if not ampere_turns > 0:
        raise ValueError(f"ampere turns are {ampere_turns:g} A, expected more than 0")
    return emf(frequency, 1.0, flux_density, core_area) * ampere_turns

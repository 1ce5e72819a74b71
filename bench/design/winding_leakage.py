"""Leakage of the windings of a job by where they lie on the former."""

from __future__ import annotations

import numpy as np

from bench.design.seats import seats
from bench.job.model import Job
from bench.magnetics.leakage import Coil, Window, leakage_matrix

__all__ = ["winding_leakage"]


def winding_leakage(job: Job) -> np.ndarray[tuple[int, int], np.dtype[np.float64]] | None:
    """By the build [H], in the order of the job's windings, each referred to its own turns.

    None where not all windings have a seat in the window.
    """
    laid, shape = seats(job), job.core.shape
    if shape is None or any(one.name not in laid for one in job.winding):
        return None
    window = Window(max(shape.window_width, max(seat.outer for seat in laid.values())), shape.window_height)
    coils = [
        Coil(
            turns=float(one.turns or 1),
            inner=laid[one.name].inner,
            outer=laid[one.name].outer,
            mean_turn=sum(layer.mean_turn * layer.turns for layer in laid[one.name].layers)
            / sum(layer.turns for layer in laid[one.name].layers),
            length=laid[one.name].length,
        )
        for one in job.winding
    ]
    return np.asarray(leakage_matrix(coils, window))

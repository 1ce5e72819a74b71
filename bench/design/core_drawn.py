"""The core of a job as the flux sees it: its size, its steel, and its own curve where that was read as found."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from functools import lru_cache
from typing import Any

from bench.design.steel_as_found import core_as_found
from bench.job.expectation import GOOD, Variant
from bench.job.model import Job
from bench.job.profiles import table_text
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import Steel

__all__ = ["changed", "magnetic_core", "refused_curve", "was_read"]


def magnetic_core(job: Job, assembly: dict[str, Any], variant: Variant = GOOD) -> MagneticCore | None:
    """The job's core as the flux sees it; None while its size or its steel is not known.

    Where the same laminations go back in, their own curve as found takes the place of the steel's published ones.
    """
    core = _published(job, assembly)
    if core is None:
        return None
    if job.as_found is not None and job.as_found.core_kept:
        found = core_as_found(core, job.as_found).core
        if found is not core:
            kind = _kind_of_joint(job)
            core = replace(found, area=core.area, u_joint=assembly[f"u_joint_restacked_{kind}_mm"] * 1e-3)
    return changed(core, variant)


def was_read(job: Job, assembly: dict[str, Any]) -> bool:
    """Whether that curve was taken: the same laminations go back in, and it may be a good core's."""
    if job.as_found is None or not job.as_found.core_kept:
        return False
    core = _published(job, assembly)
    return core is not None and core_as_found(core, job.as_found).core is not core


def changed(core: MagneticCore, variant: Variant) -> MagneticCore:
    """A good core with a variant's stack, joints and steel."""
    steel = core.steel
    if variant.field_factor != 1.0:
        steel = replace(steel, field=steel.field * variant.field_factor)
    return replace(
        core,
        area=core.area * variant.stack_factor,
        joint=core.joint + variant.joint_added,
        building_factor=core.building_factor * variant.loss_factor,
        steel=steel,
    )


def refused_curve(job: Job, assembly: dict[str, Any]) -> str:
    """Why the exciting curve as found is no measure of a good core; empty where it is one, or none was read."""
    plain = _published(job, assembly)
    if job.as_found is None or not job.as_found.core_kept or plain is None:
        return ""
    return core_as_found(plain, job.as_found).refused


def _published(job: Job, assembly: dict[str, Any]) -> MagneticCore | None:
    """The core with its steel's published curves."""
    shape, area = job.core.shape, job.core.net_area
    if shape is None or area is None or not job.core.steel:
        return None
    kind = _kind_of_joint(job)
    return MagneticCore(
        area=area,
        path=shape.path,
        steel=_steel(job.core.steel),
        joint=assembly[f"joint_{kind}_mm"] * 1e-3,
        building_factor=assembly["building_factor"],
        u_log_area=assembly["u_log_area"],
        u_joint=assembly[f"u_joint_{kind}_mm"] * 1e-3,
        u_log_building=assembly["u_log_building"],
    )


def _kind_of_joint(job: Job) -> str:
    return "butt" if job.core.interleave == "butt" else "interleaved"


def _steel(name: str) -> Steel:
    return _steel_in(table_text("steels", name))


@lru_cache(maxsize=8)
def _steel_in(text: str) -> Steel:
    return Steel.from_table(tomllib.loads(text))

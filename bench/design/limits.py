"""How near a job as it is drawn comes to each of its limits: which of them holds it."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.class_check import ClassCheck
from bench.design.plan import WindingPlan
from bench.design.problem import DesignProblem

__all__ = ["Limit", "limits_of", "rise_limit"]


@dataclass(frozen=True)
class Limit:
    """what;  used, most: in `unit`;  doubt: of what is used, with k = 2."""

    what: str
    used: float
    most: float
    unit: str
    doubt: float = 0.0

    @property
    def share(self) -> float:
        """Part of the limit that is used; above 1 it is broken."""
        return self.used / self.most

    @property
    def words(self) -> str:
        places = 2 if self.unit == "T" else 0
        return f"{self.what}, {self.used:.{places}f} of {self.most:.{places}f} {self.unit}"


def limits_of(plan: WindingPlan, problem: DesignProblem) -> tuple[Limit, ...]:
    """Window and flux density of a plan within the limits of its job's problem."""
    found = [Limit("window", 100 * plan.fill, 100 * problem.room.width / plan.shape.window_width, "%")]
    primary = plan.job.primary
    if primary is not None and primary.turns is not None:
        flux = problem.flux_density(primary.turns)
        high = 1 + problem.tolerance
        at_high = f"flux at {problem.voltage * high:.4g} V"
        found.append(Limit(f"flux at {problem.voltage:.4g} V", flux, problem.most_flux, "T"))
        found.append(Limit(at_high, flux * high, problem.most_flux_high, "T"))
    return tuple(found)


def rise_limit(check: ClassCheck) -> Limit:
    """The rise at the supply that warms most, within that of its class."""
    hottest = check.hottest
    return Limit(f"rise at {hottest.at}", hottest.rise, check.allowed, "K", 2 * hottest.u)

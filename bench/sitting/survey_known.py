"""What is known of a unit as found: the job file and the record together, and the survey that follows."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, Any

from bench.sitting.names import expected_names, meant_name
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.job.as_found import FoundWinding
    from bench.job.bench_file import BenchFile, MeterAccuracy
    from bench.job.model import Job
    from bench.records.store import Store
    from bench.survey.gathered import Gathered
    from bench.survey.survey import Survey, WindingFound

__all__ = ["KnownSoFar", "accuracy_from", "known_so_far", "winding_as_found"]


class KnownSoFar:
    """gathered: of file and record;  survey: made when it is first asked for, None while nothing at all is known."""

    def __init__(self, job: Job, gathered: Gathered, bench: BenchFile, rules: dict[str, Any], *, curve: bool) -> None:
        self.gathered = gathered
        self._job = job
        self._bench = bench
        self._rules = rules
        self._curve = curve

    @cached_property
    def survey(self) -> Survey | None:
        """Raises BadInput where what is known can't be brought together."""
        from bench.job.as_found import AsFound
        from bench.survey.evidence import evidence_of
        from bench.survey.survey import survey_of

        found = self.gathered.found
        if found == AsFound():
            return None
        if not self._curve:
            found = found.model_copy(update={"exciting": ()})
        try:
            evidence = evidence_of(found, self._rules, accuracy_from(self._bench), self.gathered.counted)
            return survey_of(self._job, found, evidence, self._rules)
        except ValueError as problem:
            words = " ".join(str(problem).split())
            raise BadInput(f"job {self._job.identity.number} as found: {words}") from None

    def winding(self, name: str) -> WindingFound | None:
        """What the survey says of a winding; None where it says nothing."""
        if self.survey is None:
            return None
        return next((one for one in self.survey.windings if one.name == name), None)


def known_so_far(job: Job, store: Store, bench: BenchFile, rules: dict[str, Any], *, curve: bool = True) -> KnownSoFar:
    """Everything up to now; raises RecordProblem.

    curve: whether the exciting curve is to be looked at, which takes a second and tells nothing of turns.
    """
    from bench.survey.gathered import gather

    entries = store.landmarks(job.identity.number)
    return KnownSoFar(job, gather(job.as_found, [(one.kind, one.body) for one in entries]), bench, rules, curve=curve)


def accuracy_from(bench: BenchFile) -> Callable[[str], MeterAccuracy]:
    """Of a meter of that name; of one that the bench file does not know, what it says of the first hand-held one."""
    from bench.job.bench_file import MeterAccuracy

    by_name = {entry.name: entry.accuracy for entry in bench.meter}
    by_hand = next((entry.accuracy for entry in bench.meter if entry.use == "hand"), MeterAccuracy())
    return lambda name: by_name.get(name, by_hand)


def winding_as_found(known: KnownSoFar, name: str, where: str) -> FoundWinding:
    """A winding of the unit, whatever its capitals; raises BadInput for a name that none has, and for a coil of one's
    own."""
    windings = known.gathered.found.winding
    meant = meant_name(name, (one.name for one in windings))
    for one in windings:
        if one.name == meant and not one.search_coil:
            return one
        if one.name == meant:
            raise BadInput(f"{where}: {name!r} is your own search coil, expected a winding of the unit")
    if not windings:
        raise BadInput(
            f"{where}: no windings as found yet, expected --read first, or [[as_found.winding]] in the job file"
        )
    names = [one.name for one in windings if not one.search_coil]
    raise BadInput(f"{where}: winding {name!r} is not among those as found, {expected_names(name, names)}")

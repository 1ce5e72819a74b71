"""Tests in a job's record: where each begins and ends, and with which meters it was read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry, Kind
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.acceptance.result import TestResult

__all__ = ["KeptTest", "chosen_test", "kept_tests", "result_of"]

_OF_A_TEST = (Kind.READING, Kind.ANSWER, Kind.STEP)


@dataclass(frozen=True)
class KeptTest:
    """number: from 1, in the order of the record;  entries: of the job, from where the test began to where the next
    one did;  before: all that came earlier;  sitting: the entry that began its last sitting, None in a record that
    tells of none;  result: the last one, None where it came to none."""

    number: int
    entries: tuple[Entry, ...]
    before: tuple[Entry, ...]
    sitting: Entry | None
    result: Entry | None

    @property
    def begun(self) -> str:
        """UTC, ISO 8601."""
        return self.entries[0].at

    @property
    def procedure(self) -> str:
        """Its name, empty where the record tells none."""
        return "" if self.sitting is None else str(self.sitting.body.get("procedure", ""))

    @property
    def as_it_was_begun(self) -> tuple[Entry, ...]:
        """What the record held when its last sitting began."""
        start = self.entries[0].seq if self.sitting is None else self.sitting.seq
        return tuple(one for one in (*self.before, *self.entries) if one.seq < start)

    @property
    def job_file(self) -> Entry | None:
        """The job file as its last sitting took it."""
        return next((one for one in reversed(self.as_it_was_begun) if one.kind == Kind.JOB_FILE), None)

    @property
    def meters(self) -> tuple[dict[str, Any], ...]:
        """Bodies of the meters of its last sitting, one for each role."""
        file = self.job_file
        after = 0 if file is None else file.seq
        found = [one.body for one in self.as_it_was_begun if one.kind == Kind.INSTRUMENT and one.seq > after]
        by_role = {str(one.get("role", "")): one for one in found if one.get("what", "meter") == "meter"}
        return tuple(by_role.values())


def kept_tests(entries: Sequence[Entry]) -> tuple[KeptTest, ...]:
    """All tests of a job, oldest first.  entries: of one job in order; of runs of counts the ends are enough."""
    starts = [place for place, one in enumerate(entries) if one.kind == Kind.TEST_BEGUN]
    first = next((place for place, one in enumerate(entries) if one.kind in _OF_A_TEST), len(entries))
    if first < (starts[0] if starts else len(entries)):  # an older record, which does not say where a test began
        starts.insert(0, first)
    return tuple(
        _test(number, entries[:start], entries[start:end])
        for number, (start, end) in enumerate(pairwise([*starts, len(entries)]), start=1)
    )


def chosen_test(entries: Sequence[Entry], job: str, number: int | None) -> KeptTest:
    """The test of that number, the last one where none is said; raises BadInput."""
    tests = kept_tests(entries)
    if not tests:
        raise BadInput(f"{job}: no test in its record yet, expected one that `turnproof test` kept")
    if number is None:
        return tests[-1]
    if not 1 <= number <= len(tests):
        raise BadInput(f"--test {number}: {job} has {len(tests)} in its record, expected 1 to {len(tests)}")
    return tests[number - 1]


def result_of(body: dict[str, Any]) -> TestResult:
    """A test's result as it was kept; what an older record lacks is left empty."""
    from bench.acceptance.decision import Verdict
    from bench.acceptance.result import Finding, NotDone, TestResult, step_result_of

    return TestResult(
        Verdict(str(body["verdict"])),
        tuple(step_result_of(one) for one in body.get("steps") or ()),
        tuple(
            Finding(
                str(one["fault"]),
                str(one.get("winding", "")),
                str(one.get("size", "")),
                float(one["probability"]),
                tuple(str(word) for word in one.get("evidence") or ()),
                str(one.get("check", "")),
                str(one.get("remedy", "")),
            )
            for one in body.get("findings") or ()
        ),
        None,
        tuple(
            NotDone(str(one["id"]), str(one["reason"]), bool(one.get("required"))) for one in body.get("not_done") or ()
        ),
    )


def _test(number: int, before: Iterable[Entry], entries: Sequence[Entry]) -> KeptTest:
    sittings = [one for one in entries if one.kind in (Kind.TEST_BEGUN, Kind.TEST_GO)]
    results = [one for one in entries if one.kind == Kind.RESULT]
    result = results[-1] if results else None
    # One that was broken off since, and so came to no result of its own, is not the one that this result is of.
    to_it = [one for one in sittings if result is None or one.seq < result.seq]
    return KeptTest(number, tuple(entries), tuple(before), to_it[-1] if to_it else None, result)

"""What a kept test is judged by: as its record holds it, or as things are today."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.acceptance.instrument import HandInstrument, Instrument, MeterInstrument
from bench.acceptance.meter_said import HAND, calibrated_accuracies, hand_accuracies, response_of
from bench.acceptance.meters_by_role import MetersByRole
from bench.job.bench_file import BenchFile, MeterEntry
from bench.job.file import FileProblem, bench_file_in, model_from
from bench.job.procedure_file import ProcedureFile, shipped_procedure
from bench.job.profiles import KeptTables, known
from bench.job.rules_file import rules_of
from bench.records.kept_profiles import BENCH, JUDGED_BY, PROCEDURE, RULES, Content, contents_of
from bench.sitting.problems import BadInput
from drivers.address import Address
from drivers.calibration import with_calibration
from drivers.errors import AddressError, ProfileError
from drivers.link import Link
from drivers.meter import Meter
from drivers.profile_files import load_meter_profile, meter_profile_in

if TYPE_CHECKING:
    from bench.sitting.kept_tests import KeptTest
    from drivers.meter_profile import MeterProfile

__all__ = ["Grounds", "grounds_of"]

_USUAL = "before varnish"
_USUAL_RULES = "small-mains"
_MAINS_HERTZ = 50.0


@dataclass(frozen=True)
class Grounds:
    """job_text: the job file as it was then;  tables: of the record, in the place of shipped ones or beside them;
    past_a_gate: the recorded reason for going past a gate;  notes: what the record lacks, a line each."""

    job_text: str
    bench: BenchFile
    meters: tuple[dict[str, Any], ...]
    contents: Mapping[str, Content]
    procedure: ProcedureFile
    rules: Mapping[str, Any]
    rules_name: str
    tables: KeptTables
    past_a_gate: str
    notes: tuple[str, ...]

    def instrument(self, hertz: float | None) -> Instrument:
        """With what the meters of then could do and how well; it takes no reading.  hertz: of the supply."""
        found: dict[str, MeterInstrument | HandInstrument] = {}
        for body in self.meters:
            found[str(body.get("role", ""))] = self._one(body, hertz)
        meters = {role: one for role, one in found.items() if isinstance(one, MeterInstrument)}
        if not found or len(meters) < len(found):
            by_hand = [one for one in found.values() if isinstance(one, HandInstrument)]
            return by_hand[0] if by_hand else _by_hand(MeterEntry(name=HAND, use=HAND))
        return meters[""] if list(meters) == [""] else MetersByRole(meters)

    def _one(self, body: Mapping[str, Any], hertz: float | None) -> MeterInstrument | HandInstrument:
        name, use = str(body.get("name", HAND)), str(body.get("use", HAND))
        entry = next((one for one in self.bench.meter if one.name == name and one.use == use), None)
        entry = entry or MeterEntry(name=name, use=use)
        if use == HAND:
            return _by_hand(entry)
        profile = _profile_of(body, use, self.contents)
        if profile is None:
            return _by_hand(_by_hand_now(entry))
        profile = with_calibration(profile, calibrated_accuracies(entry), hertz)
        line = Link(Address.parse(use).port, profile.line)  # never opened
        return MeterInstrument(Meter(line, profile, use, frequency=hertz or _MAINS_HERTZ))


def _profile_of(body: Mapping[str, Any], use: str, contents: Mapping[str, Content]) -> MeterProfile | None:
    """As it was kept, else as it is today; None where there is none that can be read."""
    kept = _kept_profile(body, contents)
    try:
        if kept is not None:
            return meter_profile_in(kept.text, f"profile {kept.name}")
        return load_meter_profile(Address.parse(use).profile)
    except (AddressError, ProfileError):
        return None


def _kept_profile(body: Mapping[str, Any], contents: Mapping[str, Content]) -> Content | None:
    named = body.get("profile") or {}
    return contents.get(str(named.get("sha256", "")))


def _meter_notes(meters: Iterable[Mapping[str, Any]], contents: Mapping[str, Content]) -> list[str]:
    """Of meters on a line that are judged by another profile than theirs of then, which may change a verdict."""
    notes = []
    for body in meters:
        use, name = str(body.get("use", HAND)), str(body.get("name", ""))
        if use == HAND:
            continue
        if _profile_of(body, use, contents) is None:
            notes.append(f"meter {name}: its profile can't be read here: judged as a meter that a person reads")
        elif _kept_profile(body, contents) is None:
            notes.append(f"meter {name}: its profile of then is not in the record: judged by today's")
    return notes


def _by_hand_now(entry: MeterEntry) -> MeterEntry:
    """The same as a meter that a person reads, with what the bench file says of its accuracy."""
    return MeterEntry(name=entry.name, use=HAND, accuracy=entry.accuracy)


def grounds_of(test: KeptTest, *, as_then: bool, rules_file: Path | None = None) -> Grounds:
    """Of a test's last sitting.

    as_then: limits, steels and procedure as the record holds them, else as they are today;  rules_file: a workshop's
    own limits.  Raises BadInput where the record holds no job file.
    """
    file = test.job_file
    if file is None:
        raise BadInput(f"{test.entries[0].job}: its record holds no job file from before test {test.number}")
    contents = contents_of(test.as_it_was_begun)
    said: Mapping[str, Any] = {} if test.sitting is None else test.sitting.body.get(JUDGED_BY) or {}
    notes: list[str] = []
    if not said:
        notes.append(
            "this record keeps no limits, steels and procedure of then (an earlier version kept it): judged by today's"
        )
    notes += _meter_notes(test.meters, contents) if said else []
    texts = {
        (one.what, one.name): one.text
        for digest in (said.get("tables") or {}).values()
        if (one := contents.get(str(digest))) is not None
    }
    procedure = _procedure(test, contents.get(str(said.get(PROCEDURE))), as_then, notes)
    kept_rules = contents.get(str(said.get(RULES)))
    rules, name = _rules(procedure, kept_rules, as_then, rules_file, notes)
    return Grounds(
        job_text=str(file.body["text"]),
        bench=_bench(contents.get(str(said.get(BENCH))), notes if said else []),
        meters=test.meters,
        contents=contents,
        procedure=procedure,
        rules=rules,
        rules_name=name,
        tables=KeptTables(texts, before_shipped=as_then),
        past_a_gate=str(said.get("past_a_gate_because", "")),
        notes=tuple(notes),
    )


def _by_hand(entry: MeterEntry) -> HandInstrument:
    def nobody(ask: Any) -> str:
        raise AssertionError("a kept test asks nobody")

    return HandInstrument(
        nobody,
        hand_accuracies(entry),
        lead_resistance=entry.lead_resistance or 0.0,
        test_current=entry.test_current,
        name=entry.name,
        response=response_of(entry),
    )


def _bench(kept: Content | None, notes: list[str]) -> BenchFile:
    if kept is None:
        notes.append("the bench file of then is not in the record: taken for a bench with a meter, a lamp and no more")
        return BenchFile.model_validate({"schema": 1})
    try:
        return bench_file_in(kept.text, Path("the bench file as kept"))
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None


def _procedure(test: KeptTest, kept: Content | None, as_then: bool, notes: list[str]) -> ProcedureFile:
    """The kept one, or the shipped one of its name; an own one is nowhere but in the record."""
    then = None
    if kept is not None:
        then = model_from(Path("the procedure as kept"), kept.table, ProcedureFile)
        if as_then:
            return then
    wanted = test.procedure or _USUAL
    for name in known("procedures"):
        shipped = shipped_procedure(name)
        if wanted in (name, shipped.name):
            return shipped
    if then is None:
        raise BadInput(f"{test.entries[0].job}: procedure {wanted!r} does not ship and is not in the record")
    notes.append(f"procedure {wanted!r} is the workshop's own: taken as it was kept")
    return then


def _rules(
    procedure: ProcedureFile, kept: Content | None, as_then: bool, rules_file: Path | None, notes: list[str]
) -> tuple[Mapping[str, Any], str]:
    """The limits and their name."""
    if rules_file is not None:
        try:
            named = str(rules_file)
            if named in known("limits"):
                return _of_a_test(rules_of(named), named), named
            if rules_file.suffix != ".toml":
                raise BadInput(f"--rules {named}: expected a .toml file, or one of {', '.join(known('limits'))}")
            return _of_a_test(rules_of(rules_file.name, rules_file.parent), named), named
        except FileProblem as problem:
            raise BadInput("\n".join(problem.lines)) from None
    if as_then and kept is not None:
        return kept.table, kept.name
    if procedure.rules in known("limits"):
        return rules_of(procedure.rules), procedure.rules
    if kept is None:
        raise BadInput(f"limits {procedure.rules!r} are not in the record, expected --rules FILE")
    notes.append(
        f"limits {procedure.rules!r} are the workshop's own: taken as they were kept; --rules FILE takes others"
    )
    return kept.table, kept.name


def _of_a_test(rules: Mapping[str, Any], named: str) -> Mapping[str, Any]:
    """Other tables of limits ship beside those that a test judges by."""
    lacks = [name for name in rules_of(_USUAL_RULES) if name not in rules]
    if lacks:
        some = ", ".join(lacks[:4])
        expected = f"expected such as {_USUAL_RULES}, or a file over it"
        raise BadInput(f"--rules {named}: are no limits of a test, which has {some} and others, {expected}")
    return rules

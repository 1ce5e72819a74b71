"""No page of the guide goes stale: its commands are understood, its links lead somewhere, its numbers come out."""

from __future__ import annotations

import math
import re
import shlex
import tomllib
import typing
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path

import click
import pytest
from pydantic import BaseModel

from bench.acceptance.cautions import Hazard
from bench.acceptance.decision import Verdict, decide
from bench.acceptance.result import Finding, NotDone, StepResult, TestResult, unit_verdict
from bench.acceptance.steps import KINDS
from bench.cli.exits import ExitStatus, of_verdict
from bench.estimate import Estimate
from bench.guide import page_named
from bench.guide import pages as guide_pages
from bench.guide.as_html import anchor
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile
from bench.job.profiles import load_table
from bench.magnetics import copper, emf, equivalent_circuit, regulation
from bench.records.entry import Kind
from drivers.accuracy import Accuracy
from drivers.hand import typed_reading
from drivers.reading import Quantity, Reading
from tests.cli.conftest import Ended
from tests.guide.job_troubles import BY_COMMAND, FILES, words_of_the_program
from tests.guide.page import CUT, GUIDE, Act, Block, inline_commands, pages, read_page, shows
from tests.guide.test_jobs import WALKED
from tests.guide.walk import Walk

Run = Callable[..., Ended]

# Whose blocks another test plays, in its own way.
PLAYED_ELSEWHERE = {
    "counter-board.md": "test_counter_board.py",
    "meters.md": "test_meters_page.py",
    "test-by-hand.md": "test_by_hand.py",
    "test-by-json.md": "test_by_json.py",
    **dict.fromkeys(WALKED, "test_jobs.py"),
}
WALKED_HERE = ("files-and-formats.md",)


def text_of(page: str) -> str:
    return (GUIDE / page).read_text(encoding="utf-8")


def blocks_of(page: str) -> list[Block]:
    return [part for part in read_page(text_of(page)) if isinstance(part, Block)]


# -- commands


def test_a_page_with_commands_or_files_is_played_by_a_test() -> None:
    unplayed = {page for page in pages() if blocks_of(page)} - {*PLAYED_ELSEWHERE, *WALKED_HERE, "start.md"}
    assert unplayed == set()
    for page, test in PLAYED_ELSEWHERE.items():
        assert (Path(__file__).parent / test).is_file(), page


def commands_in(text: str) -> Iterator[list[str]]:
    """Whatever is typed there, in blocks with `$` or without, and in the running text."""
    blocks = [part for part in read_page(text) if isinstance(part, Block) and part.kind in ("sh", "text")]
    typed = [command for block in blocks for command, _ in block.commands]
    typed += [line for block in blocks for line in block.body.splitlines() if line.startswith("turnproof ")]
    for line in [*typed, *inline_commands(text)]:
        words = shlex.split(line)
        if words[0] == "turnproof" and len(words) > 1 and words[1].isalpha():
            yield words[1:]


@pytest.mark.parametrize("page", [*pages(), "../../README.md", "../../DEVELOPERS.md"])
def test_every_command_of_a_page_is_one(page: str) -> None:
    for words in commands_in(text_of(page)):
        # `turnproof varnish` names a command; what it takes besides is said elsewhere.
        with suppress(click.MissingParameter, click.exceptions.Exit):
            understood(words)


def understood(words: list[str]) -> None:
    """Raises click.UsageError for a command or an option that there is not."""
    command: click.Command = import_module(f"bench.cli.{words[0]}").command
    if "--help" in words:
        return
    context = command.make_context(words[0], words[1:], resilient_parsing=isinstance(command, click.Group))
    if isinstance(command, click.Group) and len(words) > 1:
        _, inner, rest = command.resolve_command(context, words[1:]) if words[1] in command.commands else (0, None, [])
        if inner is not None:
            inner.make_context(words[1], rest)


def test_a_command_that_there_is_not_is_found_out() -> None:
    with pytest.raises(click.UsageError):
        understood(["test", "JOB", "--metre", "hand"])
    with pytest.raises(ModuleNotFoundError):
        understood(["tset"])
    assert list(commands_in("```text\n$ turnproof test JOB\nsaid\n```\n`turnproof new FILE`")) == [
        ["test", "JOB"],
        ["new", "FILE"],
    ]


def test_the_shortest_way_is_that_of_the_whole_job() -> None:
    (block,) = blocks_of("start.md")
    shown = [command for part in blocks_of("job-by-hand.md") for command, _ in part.commands]
    for line in block.body.splitlines():
        assert any(one.startswith(line.removesuffix(" hand")) for one in shown), line


@pytest.mark.parametrize("page", WALKED_HERE)
def test_what_a_page_types_says_what_it_shows(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    walk, ran = Walk(tmp_path, monkeypatch), []
    try:
        for part in read_page(text_of(page)):
            if isinstance(part, Act):
                walk.does(part)
            else:
                ran += walk.follow(part)
    finally:
        walk.close()
    wrong = [
        f"$ {one.command}\n{one.said}--- the page:\n{one.shown}"
        for one in ran
        if one.status != one.wanted or not shows(one.shown, one.said, measured=one.measured)
    ]
    assert not wrong, "\n".join(wrong)
    assert len(ran) > 8


def test_every_file_that_a_page_shows_is_put_down_and_read() -> None:
    for page in WALKED_HERE:
        put = {block.said("file") or block.said("add") for block in blocks_of(page) if block.kind == "toml"}
        assert None not in put
        checked = {word for block in blocks_of(page) for command, _ in block.commands for word in shlex.split(command)}
        assert put <= checked


# -- links and pictures


@pytest.mark.parametrize("page", pages())
def test_links_and_pictures_lead_somewhere(page: str) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", re.sub(r"^```.*?^```$", "", text_of(page), flags=re.M | re.S)):
        if target.startswith("http"):
            continue
        file, _, heading = target.partition("#")
        assert not file or (GUIDE / file).is_file(), target
        if heading:
            there = text_of(file or page)
            assert heading in {anchor(each) for each in re.findall(r"^#+ (.*)$", there, re.M)}, target


def test_the_index_has_every_page() -> None:
    assert {f"{page.name}.md" for page in guide_pages()} == set(pages())
    assert all(page.about for page in guide_pages())
    assert page_named("Meters.md") == page_named("meters")


@pytest.mark.parametrize("page", pages())
def test_no_page_promises_what_nobody_can(page: str) -> None:
    prose = re.sub(r"^```.*?^```$", "", text_of(page), flags=re.M | re.S)
    prose = prose.replace("never says that anything complies or is safe", "")
    for found in re.finditer(r"\bcompl(?:y|ies)\b|\bis safe\b", prose):
        around = " ".join(prose[max(0, found.start() - 160) : found.start()].split())
        assert re.search(r"\b(?:never|not|no)\b", around), (page, around)


# -- numbers


def hand_ohms(value: float) -> Reading:
    """The page's meter: 0.8 % + 2 counts, one digit behind the point."""
    accuracy = Accuracy(0.8, counts=2.0)
    return typed_reading(
        value, 0.1, Quantity.RESISTANCE, accuracy, instrument="yellow", at=datetime.now(UTC), monotonic=0.0
    )  # fmt: skip


def _volts(value: float, meter: str, monotonic: float) -> Estimate:
    reading = typed_reading(
        value, 0.01, Quantity.VOLTAGE_AC, Accuracy(1.0, counts=3.0), instrument=meter,
        at=datetime.now(UTC), monotonic=monotonic,
    )  # fmt: skip
    return Estimate.of(reading)


def together(one: float, other: float) -> Estimate:
    """A ratio by one meter on one range."""
    return _volts(other, "yellow", 1.0) / _volts(one, "yellow", 0.0)


def apart(one: float, other: float) -> Estimate:
    """The same by two meters."""
    return _volts(other, "yellow", 1.0) / _volts(one, "red", 0.0)


def three_volts(both: float, resistor: float, winding: float, ohms: float) -> float:
    """As `core_power` takes them, without what the supply drifts."""
    volts = [Estimate(each) for each in (both, resistor, winding)]
    power = (volts[0] * volts[0] - volts[1] * volts[1] - volts[2] * volts[2]) / (2.0 * Estimate(ohms))
    return power.value


NAMES = {
    **{name: getattr(math, name) for name in ("sqrt", "pi")},
    **{one.__name__.rpartition(".")[2]: one for one in (copper, emf, equivalent_circuit, regulation)},
    **{one.__name__: one for one in (hand_ohms, together, apart, three_volts)},
}
RECKONED = re.compile(r"<!-- reckoned (.*?) == (.*?) -> ([\d.]+) -->")


def reckoned() -> Iterator[tuple[str, str, str, str, str]]:
    for page in ("physics.md", "uncertainty-and-verdicts.md"):
        text = text_of(page)
        for found in RECKONED.finditer(text):
            rest = re.sub(r"<!--.*?-->", "", text[found.end() :]).strip()
            yield page, found[1], found[2], found[3], " ".join(rest[:420].split())


@pytest.mark.parametrize(("page", "program", "hand", "shown", "prose"), list(reckoned()))
def test_a_worked_number_is_what_program_and_hand_give(
    page: str, program: str, hand: str, shown: str, prose: str
) -> None:
    digits = len(shown.partition(".")[2])
    by_program, by_hand = (float(eval(each, {"__builtins__": {}}, NAMES)) for each in (program, hand))
    assert by_program == pytest.approx(by_hand, rel=2e-3)
    assert by_program == pytest.approx(float(shown), abs=0.5 * 10**-digits * 1.001)
    assert shown in prose or shown in text_of(page).partition(program)[0][-600:], (shown, prose)


def test_there_are_worked_numbers() -> None:
    assert len(list(reckoned())) > 18


def test_the_worked_judgements_are_those_of_the_program() -> None:
    judged = re.findall(
        r"<!-- judged ([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) (\w+) -->", text_of("uncertainty-and-verdicts.md")
    )
    assert {one[4] for one in judged} == {"accepted", "undecided", "rejected"}
    for value, u, lower, upper, verdict in judged:
        assert decide(float(value), float(u), float(lower), float(upper)).verdict == verdict


def test_verdicts_of_a_unit_are_as_the_table_says() -> None:
    def step(verdict: Verdict) -> StepResult:
        return StepResult("s", "", "", "", 1.0, "good", "V", verdict)

    good, bad, open_, odd = (step(v) for v in (Verdict.ACCEPTED, Verdict.REJECTED, Verdict.UNDECIDED, Verdict.TROUBLE))
    left_out = (NotDone("insulation:primary", "later", True),)
    danger = (Finding("turns_shorted", "ht", "", 0.25, (), "", ""),)
    table = [
        ("REJECTED", (good, bad, odd), (), left_out),
        ("TROUBLE", (good, odd), (), left_out),
        ("INCOMPLETE", (good, open_), (), left_out),
        ("UNDECIDED", (good, open_), (), ()),
        ("UNDECIDED", (good,), danger, ()),
        ("ACCEPTED", (good,), (), ()),
    ]
    rows = re.findall(r"^\| `([A-Z]+)` \| .* \| (\d) \|$", text_of("uncertainty-and-verdicts.md"), re.M)
    assert [name for name, _ in rows] == list(dict.fromkeys(name for name, *_ in table))
    for name, steps, findings, not_done in table:
        verdict = unit_verdict(steps, findings, not_done)
        assert verdict.upper() == name
        assert of_verdict(verdict) == int(dict(rows)[name])


# -- tables that say all there is


def test_every_caution_is_on_the_page_of_safety() -> None:
    said = text_of("safety.md")
    for hazard in Hazard:
        assert f"| {' '.join(hazard.value[0])} | {hazard.value[1]} |" in said


def keys_on(page: str, before: str, after: str) -> dict[str, set[str]]:
    """Keys of the tables between two headings, by the table that stands before them in the first column."""
    part = text_of(page).partition(before)[2].partition(after)[0]
    found: dict[str, set[str]] = {}
    head = ""
    for row in re.findall(r"^\| (.*?) \|", part, re.M):
        if row.startswith("**"):
            head = row.strip("*`[] ")
        elif row not in ("key", "---"):
            found.setdefault(head, set()).update(re.findall(r"`(\w+)`", row))
    return found


def fields(model: type[BaseModel], path: str = "") -> Iterator[tuple[str, set[str]]]:
    yield path, {field.alias or name for name, field in model.model_fields.items()} - {"schema"}
    for name, field in model.model_fields.items():
        for inner in _models(field.annotation):
            yield from fields(inner, f"{path}.{name}".strip("."))


def _models(kind: object) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for part in typing.get_args(kind):
        yield from _models(part)


_PARTS_OF_A_JOB = r"(?:.*\.)?(?:taps|start|finish|lead|far_lead|wire|components|fed_components|exciting).*"


@pytest.mark.parametrize(
    ("model", "before", "after", "apart"),
    [
        (Job, "## The job file", "## The bench file", _PARTS_OF_A_JOB),
        (BenchFile, "## The bench file", "## A procedure", r"meter.*|.*accuracy|wire\.size"),
        (ProcedureFile, "## A procedure", "## Rules", "-"),
    ],
)  # fmt: skip
def test_every_key_of_a_file_is_explained(model: type[BaseModel], before: str, after: str, apart: str) -> None:
    explained = keys_on("files-and-formats.md", before, after)
    wanted = {path: keys for path, keys in fields(model) if not re.fullmatch(apart, path)}
    if model is Job:
        del wanted[""]  # its tables are the headings
    assert {path: explained.get(path) for path in wanted} == wanted
    assert set(explained) == set(wanted)


def test_every_key_of_a_result_is_explained() -> None:
    explained = keys_on("files-and-formats.md", "## Results and JSON", "## Exit status")
    step = StepResult("s", "", "", "", 1.0, "good", "V", Verdict.ACCEPTED)
    whole = TestResult(Verdict.ACCEPTED, (step,))
    assert explained[""] == set(whole.as_json()) - {"schema"}
    assert explained["of a step"] - {"source", "u", "sensitivity"} == set(step.as_json())
    assert explained["of a finding"] == set(Finding("", "", "", 0.0, (), "", "").as_json())


def test_lists_of_kinds_are_whole() -> None:
    said = " ".join(text_of("files-and-formats.md").split())
    limits = [name for name, table in load_table("limits", "small-mains").items() if isinstance(table, dict)]
    for before, names in (("Kinds of steps: ", KINDS), ("Tables of the limits: ", limits), ("what it is: ", Kind)):
        assert f"{before}{', '.join(f'`{name}`' for name in names)}" in said


def test_every_exit_status_is_explained() -> None:
    part = text_of("files-and-formats.md").partition("## Exit status")[2].partition("## ")[0]
    assert {int(number) for number in re.findall(r"^\| (\d+) \|", part, re.M)} == set(ExitStatus)


def test_folders_are_where_the_page_says(home: Path) -> None:
    from bench.records.home import bench_file_path, data_folder, lock_folder, log_folder, store_path

    said = text_of("files-and-formats.md")
    for path in (
        bench_file_path(),
        store_path(),
        log_folder() / "turnproof.log",
        lock_folder(),
        data_folder() / "lines",
    ):
        assert f"| `{path.relative_to(home)}` |" in said


def test_the_tables_of_a_rules_file_are_toml() -> None:
    (rules,) = [block for block in blocks_of("files-and-formats.md") if block.said("file") == "ours.toml"]
    assert tomllib.loads(rules.body)["resistance"]["basis"]


# -- messages


def messages() -> list[str]:
    rows = re.findall(r"^\| (.*?) \| (.*?) \| (.*?) \|$", text_of("trouble.md"), re.M)
    return [row[0].strip("`") for row in rows if row[0].startswith("`")]


@pytest.mark.parametrize("message", messages())
def test_a_message_of_the_page_of_trouble_is_said(
    message: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if message not in BY_COMMAND:
        assert any(message in text for text in words_of_the_program() if CUT not in text), message
        return
    words, typed = BY_COMMAND[message]
    monkeypatch.chdir(tmp_path)
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    ended = run(*words, typed=typed)
    assert message in " ".join(f"{ended.out} {ended.error}".split()), ended.out + ended.error


def test_no_message_is_brought_about_that_the_page_lacks() -> None:
    assert set(BY_COMMAND) <= set(messages())
    assert len(messages()) > 30

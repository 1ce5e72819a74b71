"""The desk without a window: jobs that change under it, one work at a time, answers that come too late."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.requests import Confirm, Enter, Excite, OperatorRequest
from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.state import Snapshot
from bench.dashboard.work.bridge import Bridge, Closed
from bench.dashboard.work.mailbox import Mailbox, newest_counts
from bench.dashboard.work.operator import Answer, WindowOperator
from bench.dashboard.work.orders import Orders
from bench.dashboard.work.worker import Worker
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from bench.sitting.problems import BadInput, InstrumentTrouble
from drivers.reading import Quantity
from tests.dashboard.given import progress

PATIENCE_S = 10.0


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def desk() -> Iterator[Desk]:
    made = Desk(BenchFile.model_validate({"schema": 1}))
    yield made
    made.close()


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "my job.toml"
    path.write_text(example_job("coastal-receiver").read_text(encoding="utf-8"), encoding="utf-8")
    return path


def until(desk: Desk, so: Callable[[], bool]) -> None:
    """Tick until it is so; fails where it never is."""
    end = time.monotonic() + PATIENCE_S
    while not so():
        desk.tick()
        assert time.monotonic() < end, desk.state
        threading.Event().wait(0.005)


class _Work:
    """Does what it is told to."""

    doing = "test"

    def __init__(self, does: Callable[[Bridge, Orders], None]) -> None:
        self.run = does


def rewritten(path: Path, text: str) -> None:
    """As an editor would, with a time that differs whatever the file system's resolution."""
    before = path.stat().st_mtime_ns
    path.write_text(text, encoding="utf-8")
    os.utime(path, ns=(before + 2_000_000_000, before + 2_000_000_000))


def test_a_job_that_was_edited_is_read_anew(desk: Desk, job_file: Path) -> None:
    desk.open_job(job_file)
    rewritten(job_file, desk.state.text.replace('name = "Mains transformer', 'name = "Edited transformer'))
    until(desk, lambda: desk.state.job is not None and desk.state.job.identity.name.startswith("Edited"))


def test_a_job_that_was_spoilt_stands_as_it_was_and_it_is_said(desk: Desk, job_file: Path) -> None:
    desk.open_job(job_file)
    before = desk.state.job
    rewritten(job_file, "schema = 1\n[identity\n")
    until(desk, lambda: bool(desk.state.said))
    assert desk.state.job is before
    assert desk.state.said[0].grave
    assert "as it was read before" in desk.state.said[0].words


def test_a_job_that_is_not_there_is_refused_in_a_line(desk: Desk, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"nowhere\.toml"):
        desk.open_job(tmp_path / "nowhere.toml")
    assert desk.state.job is None


def test_a_second_work_is_refused_while_the_first_goes_on(desk: Desk) -> None:
    desk.begin(_Work(lambda bridge, orders: _wait_for(orders, "go")))
    with pytest.raises(BadInput, match="expected it ended first"):
        desk.begin(_Work(lambda bridge, orders: None))
    desk.say("go")
    until(desk, lambda: not desk.busy)
    desk.begin(_Work(lambda bridge, orders: None))


def _wait_for(orders: Orders, what: str) -> None:
    while orders.wait() != what:
        pass


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (InstrumentTrouble("/dev/ttyACM0: no such port"), "/dev/ttyACM0: no such port"),
        (RuntimeError("a slip of ours"), "RuntimeError: a slip of ours"),
    ],
)
def test_what_ends_a_work_is_said(desk: Desk, error: Exception, said: str) -> None:
    def fail(bridge: Bridge, orders: Orders) -> None:
        raise error

    desk.begin(_Work(fail))
    until(desk, lambda: bool(desk.state.said))
    assert said in desk.state.said[0].words
    assert desk.state.said[0].grave
    assert desk.state.doing == ""


def test_a_work_that_is_left_ends_at_its_next_word(desk: Desk) -> None:
    def chatter(bridge: Bridge, orders: Orders) -> None:
        while True:
            bridge.tell(told.Said("still here"))
            orders.take()
            threading.Event().wait(0.01)

    desk.begin(_Work(chatter))
    until(desk, lambda: bool(desk.state.said))
    desk.end_work()
    until(desk, lambda: not desk.busy)
    assert not any(one.grave for one in desk.state.said)


VOLTS = Enter("ratio:heater", Quantity.VOLTAGE_AC, "Volts of the heater.", "V")
UNPLUGGED = Confirm("start", "Unit unplugged.")
MAINS = Excite("exciting:100", "primary", "primary.start", "primary.finish", 230.0, 50.0, "variac", hazard=405.0)


def asking(*requests: OperatorRequest, keyless: bool = False, replies: list[Reply]) -> _Work:
    def run(bridge: Bridge, orders: Orders) -> None:
        operator = WindowOperator(bridge, orders, keyless=keyless)
        replies.extend(operator.ask(request) for request in requests)

    return _Work(run)


def test_an_answer_goes_to_the_asking_that_it_was_given_to(desk: Desk) -> None:
    replies: list[Reply] = []
    desk.begin(asking(UNPLUGGED, VOLTS, replies=replies))
    until(desk, lambda: desk.state.awaiting is not None)
    # Enter pressed three times: two of them are for nobody.
    for _ in range(3):
        desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 2)
    desk.reply(Reply(ReplyKind.VALUE, "6.59"))
    until(desk, lambda: not desk.busy)
    assert [(one.kind, one.text) for one in replies] == [(ReplyKind.DONE, ""), (ReplyKind.VALUE, "6.59")]


def test_done_is_no_answer_where_a_value_is_due(desk: Desk) -> None:
    replies: list[Reply] = []
    desk.begin(asking(VOLTS, replies=replies))
    until(desk, lambda: desk.state.awaiting is not None)
    desk.reply(Reply(ReplyKind.DONE))
    desk.say(Answer(7, Reply(ReplyKind.VALUE, "of another asking")))
    desk.reply(Reply(ReplyKind.VALUE, "6.59"))
    until(desk, lambda: not desk.busy)
    assert [one.text for one in replies] == ["6.59"]


def test_volts_that_can_hurt_need_no_key_where_a_meter_watches(desk: Desk) -> None:
    replies: list[Reply] = []
    desk.begin(asking(MAINS, UNPLUGGED, keyless=True, replies=replies))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 2)
    desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: not desk.busy)
    assert [one.kind for one in replies] == [ReplyKind.DONE, ReplyKind.DONE]


def test_what_is_reckoned_beside_the_window_comes_with_its_name(desk: Desk) -> None:
    desk.reckon("fine", lambda: 42)
    desk.reckon("broken", lambda: 1 / 0)
    until(desk, lambda: {"fine", "broken"} <= set(desk.state.reckoned))
    assert (desk.state.reckoned["fine"].value, desk.state.reckoned["fine"].problem) == (42, "")
    assert desk.state.reckoned["broken"].value is None
    assert "division" in desk.state.reckoned["broken"].problem


def test_only_the_last_of_several_askings_is_told(desk: Desk) -> None:
    gate = threading.Event()
    desk.reckon("it", lambda: (gate.wait(PATIENCE_S), "old")[1])
    desk.reckon("it", lambda: "new")
    gate.set()
    until(desk, lambda: "it" in desk.state.reckoned)
    assert desk.state.reckoned["it"].value == "new"


ZERO = Excite("exciting:100", "primary", "primary.start", "primary.finish", 0.0, 50.0, "variac")


@pytest.mark.parametrize("kind", [ReplyKind.SKIP, ReplyKind.STOP])
def test_volts_to_zero_that_were_left_out_are_not_off(desk: Desk, kind: ReplyKind) -> None:
    replies: list[Reply] = []
    desk.begin(asking(MAINS, ZERO, UNPLUGGED, keyless=True, replies=replies))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 2)
    desk.reply(Reply(kind, "later"))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 3)
    assert desk.state.fed is not None
    assert desk.state.rig.live
    desk.end_work()
    until(desk, lambda: not desk.busy)
    desk.tick()
    assert desk.state.fed is not None
    desk.zero_is_confirmed()
    assert desk.state.fed is None


def test_volts_are_off_once_a_person_says_so(desk: Desk) -> None:
    replies: list[Reply] = []
    desk.begin(asking(MAINS, ZERO, keyless=True, replies=replies))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number == 2)
    assert desk.state.fed is not None
    desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: not desk.busy)
    desk.tick()
    assert desk.state.fed is None


def test_a_stop_while_the_meter_reads_lets_no_higher_volts_be_asked_for(desk: Desk) -> None:
    replies: list[Reply] = []
    gate = threading.Event()

    def run(bridge: Bridge, orders: Orders) -> None:
        operator = WindowOperator(bridge, orders, keyless=True)
        replies.append(operator.ask(MAINS))
        gate.wait(PATIENCE_S)  # the meter reads
        replies.append(operator.ask(MAINS))
        replies.append(operator.ask(ZERO))

    desk.begin(_Work(run))
    until(desk, lambda: desk.state.awaiting is not None)
    desk.stop("it smells")
    gate.set()
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.request == ZERO)
    assert [(one.kind, one.text) for one in replies] == [(ReplyKind.DONE, ""), (ReplyKind.STOP, "it smells")]
    desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: not desk.busy)


def test_what_breaks_a_test_off_waits_for_the_volts_to_be_at_zero(desk: Desk) -> None:
    def run(bridge: Bridge, orders: Orders) -> None:
        operator = WindowOperator(bridge, orders, keyless=True)
        operator.ask(MAINS)
        operator.make_safe(ZERO)
        raise InstrumentTrouble("the disk is full")

    desk.begin(_Work(run))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.request == ZERO)
    number = desk.state.awaiting.number if desk.state.awaiting else 0
    desk.reply(Reply(ReplyKind.SKIP, "later"))
    until(desk, lambda: desk.state.awaiting is not None and desk.state.awaiting.number > number)
    desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: bool(desk.state.said))
    assert desk.state.fed is None


def test_what_was_said_before_a_work_was_left_is_taken_all_the_same() -> None:
    orders = Orders()
    orders.say("84 turns")
    orders.close()
    assert orders.take() == "84 turns"
    with pytest.raises(Closed):
        orders.take()


def test_what_is_said_to_nobody_is_told(desk: Desk) -> None:
    assert not desk.say("84 turns")


def test_one_piece_of_news_that_fails_leaves_the_others(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    from bench.dashboard import desk as module

    whole = module.advance

    def advance(state: Snapshot, news: told.News, at: float) -> Snapshot:
        if isinstance(news, told.Suspected):
            raise RuntimeError("a slip of ours")
        return whole(state, news, at)

    monkeypatch.setattr(module, "advance", advance)

    def run(bridge: Bridge, orders: Orders) -> None:
        bridge.suspected((), ())
        WindowOperator(bridge, orders, keyless=False).ask(UNPLUGGED)

    desk.begin(_Work(run))
    until(desk, lambda: desk.state.awaiting is not None)
    assert any("a slip of ours" in one.words for one in desk.state.said)
    desk.reply(Reply(ReplyKind.DONE))
    until(desk, lambda: not desk.busy)


def test_a_work_that_is_left_at_once_still_keeps_what_it_was_begun_for(desk: Desk) -> None:
    kept: list[str] = []
    worker = Worker(_Work(lambda bridge, orders: kept.append("84 turns")), Mailbox())
    worker.end()
    worker.start()
    worker.join(PATIENCE_S)
    assert kept == ["84 turns"]


def test_of_counts_that_follow_at_once_only_the_newest_is_taken_in() -> None:
    counts = [(told.Progressed(progress(turns)), turns) for turns in (1.0, 2.0, 3.0)]
    other: tuple[told.News, float] = (told.Said("held"), 2.5)
    assert newest_counts([]) == []
    assert newest_counts(counts) == [counts[2]]
    assert newest_counts([*counts[:2], other, counts[2]]) == [counts[1], other, counts[2]]

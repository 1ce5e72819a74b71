"""The worked exchange of the page about the JSON operator happens as it stands there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from bench.acceptance.ask import MalformedReply, parse_reply

from .json_exchange import PAGE, exchange, exchange_on, result_on, shortened

TEXT = PAGE.read_text(encoding="utf-8")
ASKED, REPLIED = exchange_on(TEXT)


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return exchange(tmp_path_factory.mktemp("by-json"), REPLIED)


def test_the_asks_of_the_page_are_asked(said: list[str]) -> None:
    assert [json.loads(line) for line in said[:-1]] == [json.loads(line) for line in ASKED]


def test_the_last_line_is_the_result_of_the_page(said: list[str]) -> None:
    assert shortened(said[-1]) == result_on(TEXT)


def test_there_is_a_skip_a_malformed_reply_and_a_stop_in_it() -> None:
    kinds = [next(iter(json.loads(reply).keys() - {"id"})) for reply in REPLIED]
    assert {"done", "value", "skip", "stop"} == set(kinds)
    assert [json.loads(line)["id"] for line in ASKED if "problem" in json.loads(line)] == ["a8"]


def test_the_table_of_asks_has_all_of_them_and_their_keys() -> None:
    table = TEXT[TEXT.index("| `ask` |") :].partition("\n\n")[0]
    rows = dict(re.findall(r"^\| `(\w+)` \| (.*?) \|", table.partition("\n")[2], re.MULTILINE))
    assert set(rows) == {"confirm", "connect", "excite", "load", "enter", "wait"}
    for line in ASKED:
        ask = json.loads(line)
        told = set(re.findall(r"`(\w+)`", rows[ask["ask"]]))
        assert set(ask) - {"schema", "id", "step", "ask", "cautions", "problem"} <= told, ask


def test_the_replies_of_the_table_are_taken() -> None:
    rows = re.findall(r"^\| `(\{\"id.*?\})` \|", TEXT, re.MULTILINE)
    assert len(rows) == 5
    for row in rows:
        reply = json.loads(row)
        ask = {"id": reply["id"], "ask": "enter" if "value" in reply else "confirm"}
        parse_reply(row, ask)
        with pytest.raises(MalformedReply):
            parse_reply(row, {**ask, "id": "another"})


def test_after_the_stop_it_goes_on_and_asks_first_that_nothing_is_live(tmp_path: Path) -> None:
    exchange(tmp_path, REPLIED)
    first = json.loads(exchange(tmp_path, [])[0])
    assert (first["ask"], first["step"]) == ("confirm", "resumed")

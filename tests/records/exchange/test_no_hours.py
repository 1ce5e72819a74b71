"""What a small file could make a reader do for hours is refused, or done, at once."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from bench.records.exchange.strict_json import NotStrict, strict_json
from bench.records.exchange.strict_toml import strict_toml
from bench.records.search.fold import _IDENTITY

_SECONDS = 2.0
"""Of processor time; each took minutes to hours."""


def _keys() -> None:
    text = "{" + ",".join(f'"{number}":1' for number in range(60_000)) + ',"0":2}'
    with pytest.raises(NotStrict, match="has the key '0' twice"):
        strict_json(text.encode())


def _dots() -> None:
    with pytest.raises(ValueError, match="a key of more than 100 parts"):
        strict_toml(".".join("a" * 400_000) + " = 1")


def _lines() -> None:
    assert _IDENTITY.search("[identity]\n" + "\n" * 800_000 + "x = 1") is not None


@pytest.mark.parametrize("read", [_keys, _dots, _lines])
def test_it_is_over_at_once(read: Callable[[], None]) -> None:
    begun = time.process_time()
    read()
    assert time.process_time() - begun < _SECONDS


def test_what_a_job_file_holds_is_read() -> None:
    assert strict_toml('[identity]\nnumber = "TP-1"\na.b.c = 1.5\n')["identity"]["a"]["b"] == {"c": 1.5}

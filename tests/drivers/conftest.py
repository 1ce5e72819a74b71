"""Pseudo-terminals that end with their test, also when it fails."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from .pty_peer import PtyPeer


@pytest.fixture
def peers(tmp_path: Path) -> Iterator[Callable[..., PtyPeer]]:
    """Makes peers; `peers()` again under the same name takes the place of one that was killed."""
    made: list[PtyPeer] = []

    def make(name: str = "tty", **changes: Any) -> PtyPeer:
        made.append(PtyPeer(tmp_path / name, **changes))
        return made[-1]

    yield make
    for peer in made:
        peer.kill()
    assert [each.name for each in threading.enumerate() if each.name.startswith("peer ")] == []

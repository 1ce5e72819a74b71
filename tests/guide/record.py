"""`python -m tests.guide.record PAGE`: follow a page; put what its commands say where nothing is shown yet, and print
what differs from what is shown."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import pytest

from tests.guide.page import GUIDE, Act, Block, read_page, shows
from tests.guide.walk import Walk


def record(name: str) -> None:
    path = GUIDE / name
    text = path.read_text(encoding="utf-8")
    filled: list[tuple[Block, str]] = []
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        walk = Walk(Path(folder).resolve(), patch)
        try:
            for part in read_page(text):
                if isinstance(part, Act):
                    walk.does(part)
                    continue
                body = ""
                for ran in walk.follow(part):
                    print(f"--- $ {ran.command}  [{ran.status}]  {time.process_time():.1f} s", flush=True)
                    if ran.status != ran.wanted:
                        print(f"!!! status {ran.status}, the page says {ran.wanted}")
                    if ran.shown.strip() and not shows(ran.shown, ran.said, measured=ran.measured):
                        print(f"!!! differs from the page; said:\n{ran.said}")
                    body += f"$ {ran.command}\n{ran.shown if ran.shown.strip() else _tidy(ran.said)}"
                if body:
                    filled.append((part, body))
        finally:
            walk.close()
            for block, body in reversed(filled):
                text = text[: block.at] + body + text[block.at + len(block.body) :]
            path.write_text(text, encoding="utf-8")


def _tidy(said: str) -> str:
    return "".join(f"{line.rstrip()}\n" for line in said.rstrip().splitlines()) or "…\n"


if __name__ == "__main__":
    record(sys.argv[1])

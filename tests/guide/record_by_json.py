"""`python -m tests.guide.record_by_json`: run the worked exchange anew, and write it on its page."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.guide.json_exchange import PAGE, REPLIES, exchange, with_exchange

if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        said = exchange(Path(folder), REPLIES)
    PAGE.write_text(with_exchange(PAGE.read_text(encoding="utf-8"), said, REPLIES), encoding="utf-8")

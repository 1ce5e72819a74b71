"""`python -m tests.guide.record_by_hand`: record the session of the page about a test by hand anew; fill the page."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.guide.hand_session import PAGE, SESSION, recorded, with_session

SEED = 4

if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        session = recorded(Path(folder), SEED)
    SESSION.write_text(session, encoding="utf-8")
    PAGE.write_text(with_session(PAGE.read_text(encoding="utf-8"), session), encoding="utf-8")

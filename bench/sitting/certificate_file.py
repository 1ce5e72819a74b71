"""The certificate of a job's last test as the file that its name asks for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput
from bench.sitting.record_words import one_line

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["certificate_in_form_of", "known_form"]

_PAPER, _PAGE = ".pdf", (".html", ".htm")


def known_form(path: Path) -> Path:
    """Raises BadInput for a name that asks for no form that there is."""
    if path.suffix.lower() not in (_PAPER, *_PAGE):
        raise BadInput(f"{path}: ends in {path.suffix or 'nothing'!r}, expected .pdf, or .html for a web page")
    return path


def certificate_in_form_of(store: Store, number: str, path: Path) -> bytes:
    """PDF or HTML.  Raises BadInput for another form, and where there is no finished test yet; RecordProblem."""
    from bench.records.certificate import NoTestYet, facts_of, page, paper

    known_form(path)
    try:
        facts = facts_of(store, number)
    except NoTestYet as problem:
        raise BadInput(str(problem)) from None
    except (KeyError, ValueError) as problem:  # of an older or a newer program, on another machine
        reason = one_line(str(problem).splitlines()[0])
        raise BadInput(f"{number}: its last test, or the job file before it, can't be read here: {reason}") from None
    return paper(facts) if path.suffix.lower() == _PAPER else page(facts).encode()

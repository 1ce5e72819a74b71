"""The certificate of a job's last test as the file that its name asks for; what was given before stays what it was."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.sitting.reason import LEAST_LETTERS, is_reason
from bench.sitting.record_words import one_line
from bench.sitting.shared_records import bring_up_to_date
from bench.sitting.written_file import must_be_free, write_whole

if TYPE_CHECKING:
    from bench.records.certificate import Gift
    from bench.records.store import Store

__all__ = ["ReasonWanted", "certificate_again", "certificate_as_file", "known_form", "told_of"]

_FORMS = {".pdf": "pdf", ".html": "html", ".htm": "html"}


class ReasonWanted(BadInput):
    """A certificate that was given would be amended: whoever wants that says why.  ask: the question."""

    ask = "why the certificate is amended"


def known_form(path: Path) -> Path:
    """Raises BadInput for a name that asks for no form that there is."""
    if path.suffix.lower() not in _FORMS:
        raise BadInput(f"{path}: ends in {path.suffix or 'nothing'!r}, expected .pdf, or .html for a web page")
    return path


def certificate_as_file(store: Store, number: str, path: Path, *, over: bool, because: str = "") -> Gift:
    """Give it and write it.  over: whether it may take the place of a file;  because: why one that was given before is
    amended.

    Raises ReasonWanted where it would be and nobody says why; BadInput for another form, a file that is there, and
    where there is no finished test yet; InstrumentTrouble where it can't be kept; RecordProblem.
    """
    from bench.records.attachments import attachments_folder
    from bench.records.certificate import Form, NoTestYet, ReasonWanting, give
    from bench.records.home import lock_folder
    from bench.records.lock import JobHeld, JobLock

    form = Form(_FORMS[known_form(path).suffix.lower()])
    must_be_free(path, over=over)
    if because and not is_reason(because):
        raise ReasonWanted(f"{because!r} is no reason, expected words of {LEAST_LETTERS} letters or more")
    bring_up_to_date(store, number)
    try:
        with JobLock(lock_folder(), f"{number}.certificate", "certificate"):  # of two at once both would be number 2
            gift = give(store, number, form, path.name, because)
    except JobHeld as problem:
        raise InstrumentTrouble(f"a certificate of it is being written: {problem}") from None
    except NoTestYet as problem:
        raise BadInput(str(problem)) from None
    except ReasonWanting as problem:
        wanted = ReasonWanted(str(problem))
        wanted.ask = f"why the certificate of {problem.date} is amended"
        raise wanted from None
    except (KeyError, ValueError) as problem:  # of an older or a newer program, on another machine
        reason = one_line(str(problem).splitlines()[0])
        raise BadInput(f"{number}: its last test, or the job file before it, can't be read here: {reason}") from None
    except OSError as problem:
        raise InstrumentTrouble(f"{attachments_folder(store.path)}: not kept: {problem.strerror}") from None
    write_whole(path, gift.contents, over=over)
    return gift


def certificate_again(store: Store, number: str, path: Path, certificate: int, *, over: bool) -> str:
    """One that was given before, by its number, to the bit; which it was, in words.  Raises BadInput, RecordProblem."""
    from bench.records.attachments import attachments_folder, kept_bytes
    from bench.records.certificate.given import well_told
    from bench.records.entry import Kind

    form = _FORMS[known_form(path).suffix.lower()]
    must_be_free(path, over=over)
    given = well_told(store.entries(number, Kind.CERTIFICATE))
    alike = [one for one in given if (one.body.get("number"), one.body.get("form")) == (certificate, form)]
    if not alike:
        known = dict.fromkeys(f"{one.body.get('number')} as .{one.body.get('form')}" for one in given)
        raise BadInput(
            f"{number}: no certificate {certificate} as .{form} was given, expected {', '.join(known) or 'none yet'}"
        )
    contents = kept_bytes(attachments_folder(store.path), alike[-1].body)
    if contents is None:
        raise BadInput(f"{number}: the file of certificate {certificate} is lost or altered: turnproof record verify")
    write_whole(path, contents, over=over)
    return f"certificate {certificate}, given {alike[-1].body.get('date')}, to the bit"


def told_of(gift: Gift) -> str:
    """Which it was, in words, with what is worth knowing."""
    words = gift.given.words
    if gift.copy:
        words = f"a copy of {words}: nothing that it says has changed since"
    return "; ".join((words, *gift.notes))

"""What stands of a stage, told to a person and as JSON: answers, remarks, what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from bench.cli.exits import ExitStatus
from bench.cli.wrapped import say
from bench.sitting.stage_account import Account
from bench.winding.stage import Remark, Weight

if TYPE_CHECKING:
    from bench.cli.stage import StageDesk

__all__ = ["document", "status_of", "tell"]


def tell(desk: StageDesk, account: Account) -> None:
    """What stands, what is wrong with it, and what comes next."""
    known, photographs = desk.known(), desk.photographs()
    say()
    lines = [(one.words, known.answers[one.key].value) for one in account.questions
             if one.key in known.answers and one.only_if(known)]  # fmt: skip
    lines += [("photographs", ", ".join(photographs))] if photographs else []
    width = max((len(words) for words, _ in lines), default=0)
    say("Kept:" if lines else "Nothing is kept yet.")
    for words, value in lines:
        say(f"  {words:<{width}}  {value}")
    _show_remarks(account.remarks)
    if status_of(account.remarks) is not ExitStatus.DONE:
        say(f"turnproof {desk.kind} JOB asks again; Enter leaves an answer as it is kept.")
    elif account.next_words:
        say(account.next_words)
    for line in account.afterwards:
        say(line)


def document(desk: StageDesk, account: Account) -> dict[str, Any]:
    """The same for a machine."""
    known = desk.known()
    return {
        "schema": 1,
        "job": desk.number,
        "stage": str(desk.kind),
        "answers": {key: {"value": one.value, "entry": one.entry} for key, one in known.answers.items()},
        "because": known.because,
        "photographs": desk.photographs(),
        "remarks": [one.as_json() for one in account.remarks],
        **account.further,
    }


def _show_remarks(remarks: Sequence[Remark]) -> None:
    """Warnings first, each with what comes of it and what will show it; then what is not answered, then notes."""
    for one in remarks:
        if one.weight is Weight.WARNING:
            say(f"  !  {_sentence(one.words)} {one.consequence}".rstrip())
            if one.shown_by:
                say(f"     Shown by: {one.shown_by}.")
    missing = [one.words for one in remarks if one.weight is Weight.MISSING]
    if missing:
        told = [one.consequence for one in remarks if one.weight is Weight.MISSING and one.consequence]
        say(" ".join([f"  Not answered: {', '.join(missing)}.", *told]))
    for one in remarks:
        if one.weight is Weight.NOTE:
            say(f"  Note: {_sentence(one.words)} {one.consequence}".rstrip())


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def status_of(remarks: Iterable[Remark]) -> ExitStatus:
    """Undecided while a warning stands or something that is required is not answered."""
    open_ones = any(one.weight is not Weight.NOTE for one in remarks)
    return ExitStatus.UNDECIDED if open_ones else ExitStatus.DONE

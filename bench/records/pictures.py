"""The pictures of a job as its record has them: what is said of each, and which are to stand on its certificate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from bench.records.entry import Entry, Kind

__all__ = ["LONGEST_CAPTION", "KeptPicture", "pictures_of", "plain_name"]

_PICTURES = frozenset([".jpg", ".jpeg", ".png", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic", ".heif", ".avif"])
LONGEST_CAPTION = 200
"""Characters."""


@dataclass(frozen=True)
class KeptPicture:
    """seq, at: of its entry;  of: the winding or the stage of the work that it is of, empty where nobody said;
    caption;  on_certificate: whether it is marked to stand there;  body: of its entry, with its file and hash."""

    seq: int
    at: str
    of: str
    caption: str
    on_certificate: bool
    body: dict[str, Any] = field(compare=False)

    @property
    def name(self) -> str:
        """As it is kept."""
        return str(self.body.get("name", "picture"))

    @property
    def words(self) -> str:
        """`screen, not closed; of ht; kept 2026-03-04`."""
        parts = (self.caption, f"of {self.of}" if self.of else "", f"kept {self.at[:10]}")
        return "; ".join(part for part in parts if part)


def pictures_of(entries: Iterable[Entry]) -> tuple[KeptPicture, ...]:
    """In the order in which they were kept, each as the newest word on it has it.

    entries: those of the kinds `photo` and `picture`, others are passed over.
    """
    found: dict[int, KeptPicture] = {}
    for one in entries:
        if one.kind == Kind.PHOTO:
            body = one.body
            found[one.seq] = KeptPicture(
                one.seq,
                one.at,
                str(body.get("winding") or body.get("stage") or ""),
                str(body.get("caption") or ""),
                body.get("on_certificate") is True,
                body,
            )
        elif one.kind == Kind.PICTURE:
            found = _marked(found, one.body)
    return tuple(found.values())


def _marked(found: dict[int, KeptPicture], body: dict[str, Any]) -> dict[int, KeptPicture]:
    """What one word on a picture changes; one on none changes nothing."""
    seq = body.get("of")
    before = found.get(seq) if isinstance(seq, int) else None
    if before is None:
        return found
    on, caption = body.get("on_certificate"), body.get("caption")
    after = replace(
        before,
        on_certificate=on if isinstance(on, bool) else before.on_certificate,
        caption=caption if isinstance(caption, str) else before.caption,
    )
    return {**found, before.seq: after}


def plain_name(number: int, suffix: str) -> str:
    """Under which the n-th picture of a job is kept, or another file beside it.

    Its own file name may tell when, where and by what it was taken, and a record goes to customers.
    """
    return f"{'picture' if suffix in _PICTURES else 'file'} {number}{suffix}"

"""What can be done in the album: leaf, look closer, mark for the certificate, caption, keep another."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from bench.dashboard.album.album_choice import AlbumChoice
from bench.dashboard.album.album_page import AlbumPage
from bench.dashboard.album.thumbnails import Thumbnail, read_thumbnails
from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.paths import path_typed
from bench.dashboard.state import Snapshot
from bench.dashboard.work.to_keep import ToKeep
from bench.records.attachments import attachments_folder
from bench.records.home import store_path
from bench.records.pictures import KeptPicture
from bench.sitting.opening import open_store
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["ALBUM_WORDS", "AlbumActs"]

ALBUM_WORDS = "pictures, notes"
_ALBUM, _LARGE, _SMALL, _SAID = "album", "album picture", "album pictures, small", "said of a picture"
"""Names under which it is reckoned."""
_SIDE = 1800
"""Pixels of a picture that has the whole face."""
_SMALL_SIDE, _AT_ONCE = 160, 3
"""Pixels of one in the list, and how many are opened in a go: other things are reckoned between."""


class AlbumActs:
    """Between a face, whose page this is for a while, and the desk.

    changed: told when it is opened or left;  pictures: offered as paths.
    """

    def __init__(
        self, desk: Desk, face: Face, changed: Callable[[], None], pictures: Callable[[], tuple[str, ...]]
    ) -> None:
        self._desk, self._face, self._changed, self._pictures = desk, face, changed, pictures
        self.page = AlbumPage()
        self.page.rows.picked.connect(self._pick)
        self.choice = AlbumChoice()
        self.number = ""
        self._seen: dict[str, object] = {}
        self._asked: object = None
        self._asked_small: tuple[int, ...] = ()
        self._thumbnails: tuple[Thumbnail, ...] = ()
        self._problem = ""

    @property
    def is_open(self) -> bool:
        return bool(self.number)

    def open(self, number: str) -> None:
        self.number, self.choice = number, AlbumChoice()
        self._thumbnails, self._asked, self._problem = (), None, ""
        self._asked_small = ()
        self.look()
        self._face.setFocus()
        self._changed()
        self.draw()

    def leave(self) -> None:
        self.number = ""
        self._changed()

    def look(self) -> None:
        """At the record as it is now."""
        from bench.sitting.album import read_album

        number = self.number
        self._desk.reckon(_ALBUM, lambda: _in_store(lambda store: read_album(store, number)))

    def show_state(self, state: Snapshot) -> None:
        """Take in what was reckoned, and draw it."""
        if not self.is_open:
            return
        new = [name for name in (_ALBUM, _LARGE, _SMALL, _SAID) if self._is_new(state, name)]
        for name in new:
            found = state.reckoned[name]
            if name == _SAID:
                if found.value is not None:
                    self._desk.tell(found.value)
                self.look()
            elif name == _LARGE:
                self._thumbnails = found.value or ()
            elif name == _SMALL:
                number, thumbnails = found.value or ("", ())
                if number == self.number:
                    self.choice.small |= {one.picture.seq: one.image for one in thumbnails}
            elif found.value is None:
                self._problem = found.problem
            elif found.value.number == self.number:
                self._problem = ""
                self.choice.take(found.value)
        if new:
            self.draw()

    def _is_new(self, state: Snapshot, name: str) -> bool:
        found = state.reckoned.get(name)
        if found is None or found is self._seen.get(name):
            return False
        self._seen[name] = found
        return True

    def draw(self) -> None:
        one = self.choice.picture
        if one is not None and one != self._asked:
            self._asked = one
            self._desk.reckon(_LARGE, partial(read_thumbnails, attachments_folder(store_path()), (one,), _SIDE))
        self._open_small()
        shown = next((small for small in self._thumbnails if small.picture == one), None)
        self.page.show_choice(self.choice, shown, self._problem)
        self._face.offer(self._acts())

    def _open_small(self) -> None:
        """The next few of the list."""
        some, number = self.choice.still_to_open(_AT_ONCE), self.number
        asked = tuple(one.seq for one in some)
        if some and asked != self._asked_small:
            self._asked_small = asked
            folder = attachments_folder(store_path())
            self._desk.reckon(_SMALL, lambda: (number, read_thumbnails(folder, some, _SMALL_SIDE)))

    # -- what can be done --------------------------------------------------------------------------

    def _acts(self) -> tuple[Act, ...]:
        choice = self.choice
        acts = [Act("Escape", "back", self._back, strong=True, large=True)]
        if choice.place >= 0:
            acts += [Act("Down", "next", partial(self._move, 1)), Act("Up", "before", partial(self._move, -1))]
        one = choice.picture
        if one is not None:
            acts += self._of_picture(one)
        note = Question((f"note for {self.number}",), self._note)
        keep = Question((f"picture for {self.number}, path", "caption; Enter: none"), self._keep, self._pictures())
        return (*acts, Act("P", "another picture", keep), Act("N", "note", note))

    def _of_picture(self, one: KeptPicture) -> list[Act]:
        words = "take it off the certificate" if one.on_certificate else "put it on the certificate"
        mark = partial(self._say, one, {"on_certificate": not one.on_certificate})
        caption = Question((f"caption of {one.name}",), partial(self._caption, one))
        larger = "with the list" if self.choice.large else "as large as it goes"
        return [
            Act("M", words, mark, large=True),
            Act("T", "caption", caption),
            Act("Return", larger, self._enlarge),
        ]

    def _back(self) -> None:
        """Out of the large picture first."""
        if self.choice.large:
            self._enlarge()
        else:
            self.leave()

    def _enlarge(self) -> None:
        self.choice.large = not self.choice.large
        self.draw()

    def _move(self, by: int) -> None:
        self.choice.move(by)
        self.draw()

    def _pick(self, place: int) -> None:
        self.choice.choose(place)
        self.draw()

    # -- doing it ----------------------------------------------------------------------------------

    def _say(self, one: KeptPicture, said: dict[str, Any]) -> None:
        from bench.sitting.attaching import mark_picture

        number = self.number

        def say(store: Store) -> str:
            now = mark_picture(store, number, one.seq, said)
            where = "on the certificate" if now.on_certificate else "not on the certificate"
            return f"{now.caption or now.name}: {where}, from now on; a certificate that was given stays as it is"

        self._desk.keep(_SAID, ToKeep(f"{one.name} of {number}: {said}", partial(_in_store, say)))

    def _caption(self, one: KeptPicture, answers: tuple[str, ...]) -> str:
        from bench.sitting.attaching import caption_of

        try:
            self._say(one, {"caption": caption_of(answers[0])})
        except BadInput as problem:
            return str(problem)
        return ""

    def _keep(self, answers: tuple[str, ...]) -> str:
        from bench.sitting.attaching import caption_of, keep_picture

        path, number = path_typed(answers[0]), self.number
        if path is None:
            return "expected the path of a picture"
        try:
            said = {"caption": caption_of(answers[1])} if answers[1].strip() else {}
        except BadInput as problem:
            return str(problem)

        def keep(store: Store) -> str:
            return f"{path.name}: kept as entry {keep_picture(store, number, path, said).seq}"

        self._desk.keep(_SAID, ToKeep(f"picture for {number}: {path}", partial(_in_store, keep)))
        return ""

    def _note(self, answers: tuple[str, ...]) -> str:
        from bench.sitting.attaching import keep_note, note_of

        number = self.number
        try:
            text = note_of(answers[0])
        except BadInput as problem:
            return str(problem)

        def keep(store: Store) -> str:
            return f"note: kept as entry {keep_note(store, number, text).seq}"

        self._desk.keep(_SAID, ToKeep(f"note for {number}: {text}", partial(_in_store, keep)))
        return ""


def _in_store(what: Callable[[Store], Any]) -> Any:
    with open_store() as store:
        return what(store)

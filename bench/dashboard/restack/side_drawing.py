"""The stack from the side: layers against the design's height, those that lack, the joint enlarged, what lies aside."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen

from bench.dashboard.parts.look import Ink
from bench.dashboard.restack.draw_words import draw_words
from bench.dashboard.restack.stacked import Stacked
from bench.quantities import show

__all__ = ["draw_side"]

_STACK = 0.60
"""Share of the height for the stack with its words; the rest is for the joint and what lies aside."""
_ENLARGED = 8
"""Layers of the enlarged joint."""
_MOST_DRAWN = 400


def draw_side(painter: QPainter, room: QRectF, stacked: Stacked, scale: float) -> None:
    """Into this place."""
    above = QRectF(room.left(), room.top(), room.width(), room.height() * _STACK)
    _stack(painter, above, stacked, scale)
    below = QRectF(room.left(), above.bottom() + 8 * scale, room.width(), room.bottom() - above.bottom() - 8 * scale)
    half = QRectF(below.left(), below.top(), below.width() * 0.48, below.height())
    _joint(painter, half, stacked, scale)
    _aside(painter, QRectF(half.right() + 12 * scale, below.top(), below.width() * 0.52 - 12 * scale, below.height()),
           stacked, scale)  # fmt: skip


def _stack(painter: QPainter, room: QRectF, stacked: Stacked, scale: float) -> None:
    line = 20 * scale
    shape = stacked.shape
    long, limb = shape.window_height + shape.tongue, shape.tongue / 2
    tallest = max(stacked.design, stacked.high or 0.0, (stacked.said.stack or 0.0) if stacked.to_scale else 0.0)
    unit = min(room.width() / long, (room.height() - 2 * line) / tallest)
    foot = room.bottom() - line
    block = QRectF(room.left(), foot - stacked.design * unit, long * unit, stacked.design * unit)
    top = foot - (stacked.high or 0.0) * unit
    if stacked.high is not None:
        _layers(painter, QRectF(block.left(), top, block.width(), foot - top), stacked, limb * unit)
    if stacked.missing:
        # Where a half alone lies it is drawn as such.
        lacking = QRectF(block.left(), block.top(), block.width(), max(3.0, top - block.top()))
        ink, pale = (Ink.BAD, Ink.BAD_PALE) if stacked.much_missing else (Ink.DOUBT, Ink.DOUBT_PALE)
        painter.fillRect(lacking, pale.colour)
        painter.setPen(QPen(ink.colour, 1.5))
        painter.setBrush(QBrush(ink.colour, Qt.BrushStyle.BDiagPattern))
        painter.drawRect(lacking)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(Ink.TEXT.colour, 1.5, Qt.PenStyle.DashLine))
    painter.drawRect(block)
    if stacked.said.stack is not None and stacked.to_scale:
        y = foot - stacked.said.stack * unit
        painter.setPen(QPen(_ink_of_height(stacked).colour, 3))
        painter.drawLine(QPointF(block.left() - 6 * scale, y), QPointF(block.right() + 6 * scale, y))
    head, ink = _words_above(stacked)
    above = QRectF(room.left(), min(top if stacked.high else block.top(), block.top()) - line - 3, room.width(), line)
    draw_words(painter, above, head, 17 * scale, ink, bold=True)
    height, ink = _words_of_height(stacked)
    draw_words(painter, QRectF(room.left(), foot + 1, room.width(), line), height, 16 * scale, ink)


def _layers(painter: QPainter, block: QRectF, stacked: Stacked, limb: float) -> None:
    """Each layer with its joint: at one end, or the ends in turn."""
    painter.fillRect(block, Ink.LINE.colour)
    put_in = stacked.said.put_in
    number = max(put_in.e, put_in.i) if put_in is not None else stacked.wanted or 40
    drawn = max(1, min(number, _MOST_DRAWN, int(block.height() / 2.0)))
    pitch = block.height() / drawn
    loose, which = stacked.open
    for layer in range(drawn):
        y = block.bottom() - (layer + 1) * pitch
        at_right = _at_right(stacked.joined, layer)
        open_one = loose and layer >= drawn - max(1, round(loose * drawn / number))
        _layer(painter, QRectF(block.left(), y, block.width(), pitch), limb, at_right, which if open_one else "")
    painter.setPen(QPen(Ink.QUIET.colour, 1.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(block)


def _layer(painter: QPainter, place: QRectF, limb: float, at_right: bool, alone: str) -> None:
    """Its edge and its joint; alone: the half that it has, where it has only one."""
    joint = place.right() - limb if at_right else place.left() + limb
    short = QRectF(joint, place.top(), limb, place.height())
    if not at_right:
        short.moveRight(joint)
    if alone:
        long = QRectF(place)
        if at_right:
            long.setRight(joint)
        else:
            long.setLeft(joint)
        painter.fillRect(short if alone == "E" else long, Ink.BAD.colour)
    if place.height() >= 3:
        painter.setPen(QPen(Ink.QUIET.colour, 0.5))
        painter.drawLine(place.topLeft(), place.topRight())
    painter.setPen(QPen(Ink.TEXT.colour, max(1.0, min(2.0, place.height() / 4))))
    painter.drawLine(QPointF(joint, place.top()), QPointF(joint, place.bottom()))


def _at_right(joined: str, layer: int) -> bool:
    """At which end the I lies: as many layers on each side as the interleave says, always one side in a butt joint."""
    return True if joined == "butt" else layer // int(joined[0]) % 2 == 0


def _joint(painter: QPainter, room: QRectF, stacked: Stacked, scale: float) -> None:
    """A few layers at one end, as large as they can be told apart."""
    if room.height() < 40:
        return
    line = 20 * scale
    draw_words(painter, QRectF(room.left(), room.top(), room.width(), line), "joint, enlarged", 14 * scale, Ink.QUIET)
    block = QRectF(room.left(), room.top() + line, room.width(), room.height() - line)
    pitch = block.height() / _ENLARGED
    gap = stacked.said.gap if stacked.joined == "butt" else None
    answered = stacked.said.interleave is not None
    for layer in range(_ENLARGED):
        y = block.bottom() - (layer + 1) * pitch
        at_right = _at_right(stacked.joined, layer)
        joint = block.left() + block.width() * (0.62 if at_right else 1.0)
        place = QRectF(block.left(), y + 0.5, block.width(), pitch - 1)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush((Ink.LINE if at_right else Ink.EMPTY).colour)
        painter.drawRect(place)
        painter.setPen(QPen((Ink.TEXT if answered else Ink.QUIET).colour, 2))
        if at_right:
            painter.drawLine(QPointF(joint, place.top()), QPointF(joint, place.bottom()))
        if gap is not None:
            painter.fillRect(QRectF(joint - 4 * scale, y, 8 * scale, pitch), Ink.BAD.colour)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(Ink.QUIET.colour, 1))
    painter.drawRect(block)


def _aside(painter: QPainter, room: QRectF, stacked: Stacked, scale: float) -> None:
    """What is left over and what is scrapped, as piles with their numbers."""
    if not stacked.aside:
        return
    kept = stacked.due.core_kept
    high = room.height() / len(stacked.aside)
    for place, (words, pile) in enumerate(stacked.aside):
        mine = QRectF(room.left(), room.top() + place * high, room.width(), high - 4)
        bad = words == "left over" and kept
        ink = Ink.BAD if bad else Ink.QUIET
        line = min(20 * scale, mine.height() * 0.6)
        draw_words(painter, QRectF(mine.left(), mine.top(), mine.width(), line), f"{pile} {words}", 15 * scale, ink,
                   bold=bad)  # fmt: skip
        _pile(painter, QRectF(mine.left(), mine.top() + line, mine.width() * 0.7, mine.height() - line),
              pile.e + pile.i, ink)  # fmt: skip


def _pile(painter: QPainter, room: QRectF, number: int, ink: Ink) -> None:
    pitch = min(6.0, room.height() / max(1, min(number, 12)))
    painter.setPen(QPen(ink.colour, 1))
    painter.setBrush(Ink.LINE.colour)
    for layer in range(min(number, int(room.height() / max(1.0, pitch)))):
        shift = (layer * 7) % 5
        painter.drawRect(QRectF(room.left() + shift, room.bottom() - (layer + 1) * pitch, room.width() - 8, pitch - 1))


def _ink_of_height(stacked: Stacked) -> Ink:
    off = stacked.off
    return Ink.TEXT if off is None else Ink.GOOD if abs(off) <= stacked.due.tolerance else Ink.BAD


def _words_above(stacked: Stacked) -> tuple[str, Ink]:
    """What the stack has, and what it lacks."""
    if stacked.closed is None:
        return ("nothing counted in yet", Ink.QUIET)
    loose, which = stacked.open
    alone = f"{loose} {which} alone" if loose else ""
    if stacked.missing:
        lacking = f"{stacked.missing} of {stacked.wanted} layers missing"
        bad = stacked.much_missing or bool(loose)
        return f"{lacking}, {alone}" if alone else lacking, Ink.BAD if bad else Ink.DOUBT
    if alone:
        return alone, Ink.BAD
    of = "" if stacked.wanted is None else f" of {stacked.wanted}"
    return f"{stacked.closed}{of} layers in", Ink.TEXT


def _words_of_height(stacked: Stacked) -> tuple[str, Ink]:
    design = "" if stacked.due.stack is None else f"design {show(stacked.due.stack, 'm', 3)}"
    if stacked.said.stack is None:
        return design or "no height in the job", Ink.QUIET
    measured = f"stands {show(stacked.said.stack, 'm', 3)}"
    if stacked.off is None:
        return measured, Ink.TEXT
    return f"{measured}: {stacked.off * 100:+.1f} %", _ink_of_height(stacked)

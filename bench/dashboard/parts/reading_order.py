"""Where the Tab key goes: what can have the focus, in the order in which the screen is read."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QWidget

__all__ = ["beside", "in_reading_order", "takes_tab"]

_SAME_LINE = 0.5
"""Share of the lower one's height by which two things overlap that stand on one line."""


def in_reading_order(root: QWidget) -> list[QWidget]:
    """What is seen inside `root` and takes the focus by Tab: line by line from the top, in a line from the left; what
    one part holds stays together."""
    found = [root] if takes_tab(root) else []
    for line in _lines(root):
        for child in line:
            found += in_reading_order(child)
    return found


def takes_tab(widget: QWidget) -> bool:
    """What hands the focus on to another, as the inside of a scrolled part does, takes none itself."""
    wants = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
    return wants and widget.isEnabled() and widget.focusProxy() is None


def beside(root: QWidget, now: QWidget | None, *, forward: bool) -> QWidget | None:
    """What comes after the one that has the focus, or before it; round at the ends. None where nothing takes it."""
    order = in_reading_order(root)
    if not order:
        return None
    # Of a part that is made of several, such as a list's own ground, the one that holds it counts.
    while now is not None and now not in order:
        now = now.parentWidget()
    if now is None:
        return order[0 if forward else -1]
    return order[(order.index(now) + (1 if forward else -1)) % len(order)]


def _lines(parent: QWidget) -> list[list[QWidget]]:
    lines: list[list[QWidget]] = []
    children = [one for one in parent.children() if isinstance(one, QWidget) and one.isVisible() and not one.isWindow()]
    for child in sorted(children, key=lambda one: (one.y(), one.x())):
        first = lines[-1][0] if lines else None
        if first is not None and _on_one_line(first, child):
            lines[-1].append(child)
        else:
            lines.append([child])
    return [sorted(line, key=lambda one: one.mapTo(parent, QPoint(0, 0)).x()) for line in lines]


def _on_one_line(one: QWidget, other: QWidget) -> bool:
    shared = min(one.y() + one.height(), other.y() + other.height()) - max(one.y(), other.y())
    return shared > _SAME_LINE * min(one.height(), other.height())

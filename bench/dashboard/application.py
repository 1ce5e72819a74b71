"""The one Qt application of this process, with Qt's own remarks sent to the log instead of the person's terminal."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import cast

from PySide6.QtCore import QLocale, QMessageLogContext, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

__all__ = ["the_application"]

_ICON = Path(__file__).resolve().parents[1] / "desktop" / "turnproof.svg"
_log = logging.getLogger("qt")
_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.DEBUG,
    # Qt warns of what its plugins can't do, which nobody at the bench can change.
    QtMsgType.QtWarningMsg: logging.INFO,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


def the_application() -> QApplication:
    """The application that is there, or a new one in the style that looks alike everywhere."""
    # Figures are written here as in record and certificate, whatever the language of the desktop.
    QLocale.setDefault(QLocale.c())
    # Whoever runs the loop ends it: a window that goes after it would leave Qt with an order to quit at once.
    QApplication.setQuitOnLastWindowClosed(False)
    there = QApplication.instance()
    if there is not None:
        return cast(QApplication, there)
    qInstallMessageHandler(_to_log)
    application = QApplication(["turnproof"])
    application.setStyle("Fusion")
    # By this name a desktop finds menu entry and icon of the window.
    application.setDesktopFileName("turnproof")
    application.setWindowIcon(QIcon(str(_ICON)))
    return application


def _to_log(kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
    _log.log(_LEVELS[kind], message)

"""The one application: its figures, its icon, the name by which a desktop knows it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

_ASK = """
from PySide6.QtCore import QLocale
from bench.dashboard.application import the_application
before = QLocale().toString(1234.5, "f", 1)
application = the_application()
icon = application.windowIcon().pixmap(48, 48).toImage()
colours = {icon.pixelColor(x, y).name() for x in range(0, 48, 4) for y in range(0, 48, 4)}
print(before, QLocale().toString(1234.5, "f", 1), application.desktopFileName(), len(colours))
"""


def test_figures_icon_and_name_in_a_desktop_of_another_language() -> None:
    for language in ("de_DE.UTF-8", "ar_EG.UTF-8"):
        env = {**os.environ, "LANG": language, "LC_ALL": language, "PYTHONPATH": str(Path(__file__).parents[2])}
        env |= {"QT_QPA_PLATFORM": "offscreen", "PYTHONIOENCODING": "utf-8"}
        done = subprocess.run([sys.executable, "-c", _ASK], env=env, capture_output=True, encoding="utf-8", check=True)
        before, after, name, colours = done.stdout.split()
        assert before != "1234.5"  # Qt would write it so by itself
        assert (after, name) == ("1234.5", "turnproof")
        assert int(colours) > 5

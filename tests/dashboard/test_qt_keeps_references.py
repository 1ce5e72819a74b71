"""Guards the pin on Qt: bindings that lose references end Python 3.11 after some thousand calls."""

from __future__ import annotations

import sys

import numpy as np
import pyqtgraph as pg
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

# A binding that loses one reference a call loses 500 and more here; other users of None take and give back a few.
_FRAMES = 500
_NOISE = 100


def test_setting_a_text_loses_no_reference_to_none(qtbot: QtBot) -> None:
    label = QLabel()
    qtbot.addWidget(label)
    before = sys.getrefcount(None)
    for _ in range(_FRAMES):
        label.setText("x")
    assert sys.getrefcount(None) > before - _NOISE


def test_a_live_plot_loses_no_reference_to_none(qtbot: QtBot) -> None:
    plot = pg.PlotWidget()
    qtbot.addWidget(plot)
    curve = plot.plot()
    plot.show()
    volts = np.linspace(0.0, 1.0, 50)
    before = sys.getrefcount(None)
    for frame in range(60):
        curve.setData(volts, volts * frame)
        plot.grab()
    assert sys.getrefcount(None) > before - _NOISE

"""The window on a certificate: to scale, and every label with room for its words."""

from __future__ import annotations

import re
import tomllib

import pytest
from PySide6.QtGui import QFont, QFontMetricsF
from pytestqt.qtbot import QtBot

from bench.design.plan import plan_of
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.records.certificate.window import window_drawn

_WIDE = 86.0
_LABEL = re.compile(r'<text x="([\d.]+)" y="[\d.]+" font-size="([\d.]+)"[^>]*>([^<]+)<')


def _job(example: str, name: str) -> Job:
    """With its last winding called that."""
    text = example_job(example).read_text(encoding="utf-8")
    last = read_job(example_job(example)).winding[-1].name
    return Job.model_validate(tomllib.loads(text.replace(f'"{last}"', f'"{name}"') if name else text))


@pytest.mark.parametrize("example", ["coastal-receiver", "gate-opener"])
@pytest.mark.parametrize("name", ["", "winding-with-a-long-name"])
def test_no_label_reaches_out_of_it(qtbot: QtBot, example: str, name: str) -> None:
    """Measured in Qt's serif type of this machine, which is wider than that of the paper."""
    job = _job(example, name)
    labels = [one for one in _LABEL.findall(window_drawn(plan_of(job))) if float(one[0]) > 10]
    assert len(labels) == len(job.winding) + len(job.screen)
    font = QFont("DejaVu Serif")
    font.setPixelSize(100)
    for x, size, words in labels:
        wide = QFontMetricsF(font).horizontalAdvance(words) / 100 * float(size)
        assert float(x) + wide <= _WIDE + 2.5, words

"""The picture of the dashboard is made from a real run."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from bench.dashboard.picture import main


def test_a_picture_has_the_size_that_was_asked_for(tmp_path: Path, qtbot: QtBot) -> None:
    out = tmp_path / "winding.png"
    assert main([str(out), "--stage", "winding", "--size", "1200x720"]) == 0
    image = QImage(str(out))
    assert (image.width(), image.height()) == (1200, 720)


@pytest.mark.parametrize(
    ("arguments", "said"), [(["--size", "big"], "expected such as 1280x800"), (["--stage", "dinner"], "dinner")]
)
def test_bad_input_is_one_line(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["x.png", *arguments])
    assert said in capsys.readouterr().err

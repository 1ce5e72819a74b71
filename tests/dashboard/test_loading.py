"""Why no window can be opened, in one line that says what to do."""

from __future__ import annotations

import sys

import pytest

from bench.dashboard.loading import Attempt, try_qt, why_no_window

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="packages are named for Debian")
ABORTED = Attempt(-6, 'qt.qpa.plugin: From 6.5.0, xcb-cursor0 or libxcb-cursor0 is needed\nCould not load "xcb"\n')
NO_DISPLAY = Attempt(-6, "qt.qpa.xcb: could not connect to display :77\nno Qt platform plugin could be initialized\n")


def test_nothing_is_said_where_qt_starts() -> None:
    assert why_no_window(lambda: Attempt(0, "")) == ""


def test_qt_starts_offscreen_in_a_process_of_its_own() -> None:
    assert try_qt().status == 0


@linux
def test_the_libraries_that_are_missing_are_named_by_their_package_and_not_by_qts_guess() -> None:
    absent = ("libxcb-icccm.so.4", "libxcb-keysyms.so.1")
    said = why_no_window(lambda: ABORTED, lambda name: name not in absent, {"DISPLAY": ":0"})
    assert said == (
        "no window: libxcb-icccm4, libxcb-keysyms1 are missing; "
        "apt-get install -y --no-install-recommends libxcb-icccm4 libxcb-keysyms1"
    )


@linux
def test_a_missing_base_library_is_named_offscreen_too() -> None:
    broken = Attempt(1, "ImportError: libEGL.so.1: cannot open shared object file")
    absent = ("libEGL.so.1", "libxcb-icccm.so.4")
    said = why_no_window(lambda: broken, lambda name: name not in absent, {"QT_QPA_PLATFORM": "offscreen"})
    assert said == "no window: libegl1 is missing; apt-get install -y --no-install-recommends libegl1"


@linux
def test_on_wayland_the_library_of_wayland_is_asked_for() -> None:
    said = why_no_window(lambda: ABORTED, lambda name: "wayland" not in name, {"WAYLAND_DISPLAY": "wayland-0"})
    assert "libwayland-cursor0" in said
    assert "xcb" not in said


def test_a_display_that_is_not_there_is_named() -> None:
    said = why_no_window(lambda: NO_DISPLAY, lambda name: True, {"DISPLAY": ":77"})
    assert said == "no window: no display answers at DISPLAY=:77"


def test_a_display_that_never_answers_is_given_up() -> None:
    said = why_no_window(lambda: Attempt(None, ""), lambda name: True, {"DISPLAY": "far:0"})
    assert said == "no window: DISPLAY=far:0 did not answer in 30 s"


def test_a_package_that_is_not_installed_is_named() -> None:
    missing = Attempt(1, "Traceback\nModuleNotFoundError: No module named 'PySide6'\n")
    assert "Python package PySide6 is not installed" in why_no_window(lambda: missing, lambda name: True, {})


def test_any_other_trouble_is_given_in_qts_last_words() -> None:
    said = why_no_window(lambda: Attempt(-11, "one\nlast words\n"), lambda name: True, {"DISPLAY": ":0"})
    assert said == "no window: Qt could not start on DISPLAY=:0: last words"

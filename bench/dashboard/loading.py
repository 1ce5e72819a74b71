"""Whether a window can be opened here, and if not, which Debian packages or which display is missing.

A missing library of the X11 plugin makes Qt abort the process, and Qt's own message names the wrong library; so Qt is
tried in a process of its own, and only when that fails are the libraries looked for one by one.
"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass

__all__ = ["Attempt", "try_qt", "why_no_window"]

_PATIENCE_S = 30.0

# Library -> Debian package; found by trying each on a bare Debian 12.
_ALWAYS = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libfontconfig.so.1": "libfontconfig1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
}
_X11 = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
_WAYLAND = {"libwayland-cursor.so.0": "libwayland-cursor0"}
_DRAWS_NOWHERE = ("offscreen", "minimal", "vnc", "linuxfb")
_TRIAL = "from PySide6.QtWidgets import QApplication; import pyqtgraph; QApplication([])"


@dataclass(frozen=True)
class Attempt:
    """How trying Qt in a process of its own ended: status None when it did not end in time."""

    status: int | None
    said: str


def try_qt() -> Attempt:
    """Start Qt in a process of its own, which may abort without harm."""
    try:
        done = subprocess.run(
            [sys.executable, "-c", _TRIAL],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_PATIENCE_S,
            text=True,
            errors="replace",
            check=False,
        )
    except subprocess.TimeoutExpired:
        return Attempt(None, "")
    return Attempt(done.returncode, done.stderr)


def why_no_window(
    attempt: Callable[[], Attempt] = try_qt,
    has_library: Callable[[str], bool] | None = None,
    environ: Mapping[str, str] = os.environ,
) -> str:
    """Empty when Qt can open a window here; else one line that says what is missing and what to do."""
    tried = attempt()
    if tried.status == 0:
        return ""
    if "No module named" in tried.said:
        module = tried.said.rsplit("No module named", 1)[1].strip().strip("'\"")
        return f"no window: the Python package {module} is not installed; pip install this project anew"
    missing = _missing_packages(has_library or _loads, environ)
    if missing:
        return (
            f"no window: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing; "
            f"apt-get install -y --no-install-recommends {' '.join(missing)}"
        )
    display = _display(environ)
    if tried.status is None:
        return f"no window: {display} did not answer in {_PATIENCE_S:.0f} s"
    if "could not connect to display" in tried.said or "Failed to create wl_display" in tried.said:
        return f"no window: no display answers at {display}"
    return f"no window: Qt could not start on {display}: {_last_line(tried.said)}"


def _missing_packages(has_library: Callable[[str], bool], environ: Mapping[str, str]) -> list[str]:
    """Names are Debian's, so this is asked on Linux only."""
    if not sys.platform.startswith("linux"):
        return []
    wanted = dict(_ALWAYS)
    platform = environ.get("QT_QPA_PLATFORM", "")
    if not platform.startswith(_DRAWS_NOWHERE):
        on_wayland = platform.startswith("wayland") or not environ.get("DISPLAY")
        wanted |= _WAYLAND if on_wayland and environ.get("WAYLAND_DISPLAY") else _X11
    return [package for library, package in wanted.items() if not has_library(library)]


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _display(environ: Mapping[str, str]) -> str:
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        if environ.get(name):
            return f"{name}={environ[name]}"
    return "this machine's display"


def _last_line(said: str) -> str:
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    return lines[-1][:200] if lines else "it gave no reason"

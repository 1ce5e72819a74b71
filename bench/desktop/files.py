"""The files that put the program on a desktop, for this user and for this machine."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from bench.desktop.entry import desktop_entry
from bench.desktop.placing import Placed, signed
from bench.desktop.rule import RULE_NAME, UDEV_RULE
from bench.sitting.problems import BadInput

__all__ = ["RULES_FOLDER", "menu_files", "rule_commands", "rule_file"]

RULES_FOLDER = Path("/etc/udev/rules.d")


def menu_files() -> tuple[Placed, ...]:
    """Menu entry and icon of this user; raises BadInput where this program can't be called by a menu."""
    data = _user_data()
    try:
        entry = desktop_entry((str(_program()), "dashboard"))
    except ValueError as problem:
        raise BadInput(str(problem)) from None
    icon = (Path(__file__).parent / "turnproof.svg").read_text(encoding="utf-8")
    return (
        Placed("the entry in the menu", data / "applications" / "turnproof.desktop", signed(entry)),
        Placed(
            "its icon", data / "icons" / "hicolor" / "scalable" / "apps" / "turnproof.svg", signed(icon, "<!-- {} -->")
        ),
    )


def rule_file(folder: Path = RULES_FOLDER) -> Placed:
    """The udev rule of this machine."""
    return Placed("the rule that lets you open serial ports on USB", folder / RULE_NAME, signed(UDEV_RULE))


def rule_commands() -> tuple[str, str]:
    """What to type, with the rights of root, so that a rule that was written or taken away is heeded."""
    return "udevadm control --reload", "udevadm trigger --subsystem-match=tty"


def _user_data() -> Path:
    """XDG_DATA_HOME, which the Base Directory Specification wants absolute, else its usual place."""
    said = os.environ.get("XDG_DATA_HOME", "")
    return Path(said) if os.path.isabs(said) else Path.home() / ".local" / "share"


def _program() -> Path:
    """The script that starts this very installation."""
    beside = Path(sys.executable).parent / "turnproof"
    if not beside.is_file():
        raise BadInput(f"{beside}: not there, a menu has nothing to call: install turnproof with pip first")
    return beside

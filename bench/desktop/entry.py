"""The menu entry, by the Desktop Entry Specification of freedesktop.org."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["desktop_entry", "exec_value"]

_RESERVED = set(" \t\"'\\><~|&;$*?#()`")
# Inside the double quotes of an argument these need a backslash before them.
_ESCAPED = '"`$\\'


def desktop_entry(command: Sequence[str]) -> str:
    """The text of the entry that runs `command`, with the file that was dropped on it behind; raises ValueError.

    The first word of the command is the program that must be there for the entry to be shown.
    """
    lines = [
        "[Desktop Entry]",
        "Type=Application",
        "Version=1.1",
        "Name=Turnproof",
        "GenericName=Transformer rewinding bench",
        "Comment=Count, test and record a rewound mains transformer",
        f"TryExec={_string(_program(command[0]))}",
        f"Exec={exec_value(command)} %f",
        "Icon=turnproof",
        "Terminal=false",
        "Categories=Science;Engineering;Electronics;",
        "Keywords=transformer;winding;rewinding;turns;coil;mains;",
        "StartupWMClass=turnproof",
    ]
    return "\n".join(lines) + "\n"


def exec_value(command: Sequence[str]) -> str:
    """A command line as the key Exec has it: quoted as the section `The Exec key` says, then escaped as any string.

    Raises ValueError for what can't be written there: an end of line.
    """
    words = [_program(command[0]), *command[1:]]
    if set("=%") & set(words[0]):
        # The specification allows no equals sign in the name of the program, and launchers look for a program of that
        # name before they make one % of two.
        words = ["/bin/sh", "-c", 'exec "$0" "$@"', *words]
    return _string(" ".join(_argument(word) for word in words))


def _program(path: str) -> str:
    if any(not character.isprintable() for character in path):
        raise ValueError(f"{path!r} can't stand in a menu entry, expected a path of printable characters")
    return path


def _argument(word: str) -> str:
    if word and not _RESERVED & set(word):
        return word.replace("%", "%%")
    quoted = "".join(f"\\{one}" if one in _ESCAPED else one for one in word)
    return f'"{quoted}"'.replace("%", "%%")


def _string(text: str) -> str:
    """A value of type string: a backslash is written twice."""
    return text.replace("\\", "\\\\")

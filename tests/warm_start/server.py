"""The process that has imported the program, and becomes it in a child for each start that is asked for."""

from __future__ import annotations

import atexit
import fcntl
import gc
import importlib
import io
import json
import os
import pkgutil
import socket
import sys
import termios
import threading
import time
from dataclasses import replace
from typing import Any

from tests.warm_start.started import HURRIED

_WITHOUT = ("bench.dashboard", "bench.__main__", "bench.cli.__main__")  # Qt is slow to come up, and few ask for it
_ALSO = ("scipy.special", "sqlalchemy.dialects.sqlite")


def _import_everything() -> None:
    for package in ("bench", "drivers"):
        for module in pkgutil.walk_packages(importlib.import_module(package).__path__, f"{package}."):
            if not module.name.startswith((*_WITHOUT, "drivers.firmware")):
                importlib.import_module(module.name)
    for name in _ALSO:
        importlib.import_module(name)


def _next_child(link: socket.socket) -> tuple[dict[str, Any], list[int]]:
    """Returns in each child, with what it is to become; ends the process itself when nobody asks any more."""
    while True:
        message, streams, _, _ = socket.recv_fds(link, 1 << 20, 3)
        if not message:
            os._exit(0)
        told, tell = os.pipe()
        go, hold = os.pipe()
        between = os.fork()
        if between == 0:
            child = os.fork()
            if child == 0:
                os.close(hold)
                os.read(go, 1)  # until the one who asked is its parent
                for each in (told, tell, go, link.detach()):
                    os.close(each)
                return json.loads(message), streams
            os.write(tell, str(child).encode())
            os._exit(0)
        os.waitpid(between, 0)
        pid = os.read(told, 64)
        for each in (told, tell, go, hold, *streams):
            os.close(each)
        link.send(pid)


def _become(request: dict[str, Any], streams: list[int]) -> None:
    """Stand as a process stands that was just started."""
    for number, stream in enumerate(streams):
        os.dup2(stream, number)
    for stream in streams:
        if stream > 2:
            os.close(stream)
    if request["own_terminal"]:
        os.setsid()
        fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    os.chdir(request["folder"])
    os.environ.clear()
    os.environ.update(request["environment"])
    time.tzset()
    sys.stdin = sys.__stdin__ = open(0, encoding="utf-8", errors="surrogateescape", closefd=False)  # type: ignore[misc]  # noqa: SIM115
    sys.stdout = sys.__stdout__ = _stream(1, "strict")  # type: ignore[misc]
    sys.stderr = sys.__stderr__ = _stream(2, "backslashreplace")  # type: ignore[misc]
    sys.argv = ["turnproof", *request["arguments"]]


def _hurry() -> None:
    """At a rehearsal's bench, which is faster than life, let a meter settle and a hand stand still that much sooner."""
    times = float(os.environ.get(HURRIED, 1.0))
    if times > 1.0:
        # Half a second for the hand of a rehearsal to turn the dial: the volts of the step before stand still as well.
        watching.PERSON = replace(watching.PERSON, stand=watching.PERSON.stand / min(times, 6.0))
        Meter.__init__.__kwdefaults__["sleep"] = lambda seconds: time.sleep(seconds / times)


def _stream(number: int, errors: str) -> io.TextIOWrapper:
    """As the interpreter makes its own."""
    unbuffered = bool(os.environ.get("PYTHONUNBUFFERED"))
    raw = open(number, "wb", buffering=0 if unbuffered else -1, closefd=False)  # noqa: SIM115
    return io.TextIOWrapper(
        raw, encoding="utf-8", errors=errors, write_through=unbuffered, line_buffering=number == 2 or raw.isatty()
    )


def _leave(end: SystemExit) -> None:
    """As the interpreter ends, but for the taking apart of all modules: it would copy every page that children share,
    which took longer than most commands do."""
    if not isinstance(end.code, int | None):
        raise end
    threading._shutdown()  # type: ignore[attr-defined]
    atexit._run_exitfuncs()
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError):
        raise end from None  # it has its own words, and status, for a reader that is gone
    os._exit(end.code or 0)


if __name__ == "__main__":
    _import_everything()
    gc.freeze()  # children share these pages as long as the collector leaves them alone
    _become(*_next_child(socket.socket(fileno=int(sys.argv[1]))))
    from bench.acceptance import watching
    from drivers.meter import Meter

    _hurry()
    # As in a process that starts cold, main ends the process by its status, and the interpreter ends in good order.
    from bench.cli import main

    try:
        main(sys.argv[1:])
    except SystemExit as end:
        _leave(end)

"""`subprocess.Popen` of `turnproof`, forked from the warm process."""

from __future__ import annotations

import array
import atexit
import ctypes
import inspect
import json
import os
import socket
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from typing import Any

__all__ = ["HURRIED", "Started"]

HURRIED = "TURNPROOF_TESTS_HURRIED"
"""In the environment: so many times sooner does a meter settle; for a bench that is itself so much faster than life."""
_ROOT = Path(__file__).resolve().parents[2]
_ADOPT_ORPHANS = 36  # PR_SET_CHILD_SUBREAPER of <linux/prctl.h>


class Started(subprocess.Popen[str]):
    """`turnproof` with these arguments; the options are those of Popen, save the ones that name another program.

    own_terminal: its standard input is the terminal that governs it, as in a window of its own.
    """

    def __init__(self, *arguments: str, own_terminal: bool = False, **options: Any) -> None:
        self._own_terminal = own_terminal
        super().__init__([sys.executable, "-m", "bench", *arguments], **{"text": True, **options})

    def _execute_child(self, *given: Any) -> None:
        if not sys.platform.startswith("linux"):
            super()._execute_child(*given)  # type: ignore[misc]
            return
        named = inspect.signature(subprocess.Popen._execute_child).bind(self, *given).arguments  # type: ignore[attr-defined]
        streams = [named[one] if named[one] != -1 else number for number, one in _ENDS.items()]
        request = {
            "arguments": named["args"][3:],
            "folder": os.fspath(named["cwd"] or os.getcwd()),
            "environment": dict(os.environ if named["env"] is None else named["env"]),
            "own_terminal": self._own_terminal,
        }
        link = _warm()
        link.sendmsg(
            [json.dumps(request).encode()], [(socket.SOL_SOCKET, socket.SCM_RIGHTS, array.array("i", streams))]
        )
        self.pid = int(link.recv(64))
        self._child_created = True
        self._close_pipe_fds(*(named[one] for one in _PIPES))


_ENDS = {0: "p2cread", 1: "c2pwrite", 2: "errwrite"}
_PIPES = ("p2cread", "p2cwrite", "c2pread", "c2pwrite", "errread", "errwrite")


@lru_cache(maxsize=1)
def _warm() -> socket.socket:
    """The line to the warm process of this worker, which ends when the worker does."""
    if ctypes.CDLL(None, use_errno=True).prctl(_ADOPT_ORPHANS, 1, 0, 0, 0):
        raise OSError(ctypes.get_errno(), "prctl")
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    server = subprocess.Popen(
        [sys.executable, "-m", "tests.warm_start.server", str(theirs.fileno())],
        pass_fds=[theirs.fileno()], cwd=_ROOT, env=environment, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    theirs.close()

    def end() -> None:
        ours.close()
        server.wait(10)

    atexit.register(end)
    return ours

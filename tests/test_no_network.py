"""No network, ever, but the ports and the server that the user names: watched in Python, and below it by strace."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from bench.job.profiles import example_job

ROOT = Path(__file__).resolve().parents[1]
# In every Python that a command starts: what leaves this machine, or asks for a name, is noted and refused.
_WATCH = """
import os, sys
_LOCAL = ("127.", "::1", "localhost", "0.0.0.0")
def _watch(event, arguments):
    if event in ("socket.connect", "socket.sendto", "socket.sendmsg"):
        address = arguments[1]
        outside = isinstance(address, tuple) and not str(address[0]).startswith(_LOCAL)
    elif event in ("socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr"):
        outside = arguments[0] is not None and not str(arguments[0]).startswith(_LOCAL)
    else:
        outside = event in ("urllib.Request", "http.client.connect", "ftplib.connect", "smtplib.connect")
    if outside:
        with open(os.environ["NOTED"], "a") as noted:
            print(event, arguments[1:] if event.startswith("socket.c") else arguments, file=noted)
        raise OSError(f"no network: {event}")
sys.addaudithook(_watch)
"""
_TRACED = re.compile(
    r"(connect|sendto|sendmsg|bind)\(.*?sa_family=AF_INET6?,.*?(?:inet_addr\(|inet_pton\(AF_INET6, )\"([^\"]+)"
)


class Watched:
    """Runs commands in a folder, and knows what they tried to reach."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "watch").mkdir()
        (folder / "watch" / "sitecustomize.py").write_text(_WATCH, encoding="utf-8")
        self._noted, self._trace = folder / "noted", folder / "trace"
        self.environment = {
            **{name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")},
            "PYTHONPATH": os.pathsep.join((str(folder / "watch"), str(ROOT))),
            "NOTED": str(self._noted),
            "TURNPROOF_HOME": str(folder / "home"),
            "QT_QPA_PLATFORM": "offscreen",
        }

    def run(self, *command: str, traced: bool = False) -> subprocess.CompletedProcess[str]:
        below = ["strace", "-f", "-qq", "--seccomp-bpf", "-e", "trace=network", "-o", str(self._trace)]
        whole = [*(below if traced else ()), sys.executable, *command]
        return subprocess.run(
            whole,
            cwd=self.folder,
            env=self.environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )

    @property
    def noted(self) -> list[str]:
        return self._noted.read_text(encoding="utf-8").splitlines() if self._noted.exists() else []

    @property
    def local(self) -> bool:
        """Whether sockets of this machine were used, and so seen."""
        return '"127.0.0.1"' in self._trace.read_text(encoding="utf-8", errors="replace")

    @property
    def traced(self) -> list[str]:
        """Addresses outside of this machine."""
        found = _TRACED.findall(self._trace.read_text(encoding="utf-8", errors="replace"))
        return [f"{call} {address}" for call, address in found if not re.match(r"127\.|::1$", address)]


@pytest.fixture
def watched(tmp_path: Path) -> Watched:
    shutil.copy(example_job("coastal-receiver"), tmp_path / "receiver.toml")
    return Watched(tmp_path)


def _traceable() -> bool:
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-qq", "-o", os.devnull, "true"], capture_output=True, check=False).returncode == 0


NEEDS_STRACE = pytest.mark.skipif(
    not _traceable(), reason="no strace, or it may not trace: what is below Python was NOT run under it"
)
_OUT = "import socket; socket.create_connection(('192.0.2.1', 9), 0.2)"
_NAME = "import socket; socket.getaddrinfo('turnproof.invalid', 80)"


def test_the_watch_sees_who_leaves_and_who_asks_for_a_name(watched: Watched) -> None:
    for code in (_OUT, _NAME):
        assert watched.run("-c", code).returncode != 0
    assert len(watched.noted) == 2
    assert "turnproof.invalid" in watched.noted[1]
    local = "import socket; s = socket.create_server(('127.0.0.1', 0)); socket.create_connection(s.getsockname())"
    assert watched.run("-c", local).returncode == 0
    assert len(watched.noted) == 2


@NEEDS_STRACE
def test_the_trace_sees_what_no_python_tells(watched: Watched) -> None:
    quiet = "import ctypes, socket, struct; s = socket.socket(type=socket.SOCK_DGRAM); " + (  # which sends nothing
        "a = struct.pack('=H', 2) + struct.pack('!H', 9) + bytes([192, 0, 2, 1]) + bytes(8); "
        "ctypes.CDLL(None).connect(s.fileno(), a, 16)"
    )
    watched.run("-c", quiet, traced=True)
    assert watched.noted == []
    assert watched.traced == ["connect 192.0.2.1"]


COMMANDS = [
    ["check", "receiver.toml"],
    ["check", "--schema", "job"],
    ["design", "receiver.toml"],
    ["sheet", "receiver.toml", "--html", "sheet.html", "--section", "section.svg"],
    ["survey", "receiver.toml", "--note", "as it came"],
    ["block", "receiver.toml", "--drawing", "block.svg"],
    ["program", "receiver.toml", "--winder", "generic", "--out", "program.ngc"],
    ["test", "receiver.toml", "--meter", "hand", "--plan"],
    ["record"],
    ["record", "verify", "TP-0107"],
    ["ports"],
    ["install"],
    ["completion", "bash"],
]


_IN_TURN = """
import json, sys
from bench.cli import main
for command in json.loads(sys.argv[1]):
    try:
        main(command)
    except SystemExit as end:
        print("status", end.code, *command)
"""


def test_commands_that_need_no_instrument_reach_nobody(watched: Watched) -> None:
    done = watched.run("-c", _IN_TURN, json.dumps(COMMANDS))
    ended = [line for line in done.stdout.splitlines() if line.startswith("status ")]
    assert ended == [" ".join(["status", "0", *command]) for command in COMMANDS], done.stderr
    assert watched.noted == []
    for file in ("sheet.html", "section.svg", "block.svg"):
        assert _fetched_by((watched.folder / file).read_text(encoding="utf-8")) == []


def _fetched_by(page: str) -> list[str]:
    """What a reader's program would fetch, or could be led to: every address but what the page holds itself."""
    names = ("http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink")  # names of languages, never fetched
    addresses = [one for one in re.findall(r"[a-z]+://[^\s\"'<>)]+", page) if one not in names]
    linked = re.findall(
        r"(?:href|src|url|@import)\s*[=(]?\s*[\"']?([^\"'\s>)]+)", re.sub(r"data:[^\"')]+", "data:", page)
    )
    return addresses + [one for one in linked if not one.startswith(("#", "data:")) and "/" in one]


@pytest.mark.parametrize("line", [(), ("--tcp",)], ids=["pseudo-terminals", "sockets"])
def test_the_whole_job_with_its_certificates_reaches_nobody(line: tuple[str, ...], watched: Watched) -> None:
    traced = _traceable()
    done = watched.run("-m", "bench", "demo", "--headless", "--quiet", "--out", "out", *line, traced=traced)
    assert (done.returncode, done.stdout.strip()) == (0, "accepted"), done.stderr
    assert watched.noted == []
    if traced:
        assert watched.traced == []
        assert watched.local == bool(line)
    assert _fetched_by((watched.folder / "out" / "certificate.html").read_text(encoding="utf-8")) == []
    paper = pypdf.PdfReader(watched.folder / "out" / "certificate.pdf")
    assert not [page for page in paper.pages if "/Annots" in page]  # no link to anywhere
    assert "/OpenAction" not in paper.trailer["/Root"]


def test_the_window_reaches_nobody(watched: Watched) -> None:
    traced = _traceable()
    done = watched.run("-m", "bench.dashboard.picture", "--all", "pictures", "--only", "test: live", traced=traced)
    assert done.returncode == 0, done.stderr
    assert watched.noted == []
    if traced:
        assert watched.traced == []


def test_no_module_of_ours_knows_how_to_fetch() -> None:
    """Sockets are opened in two places: for an instrument that the user names, and for the rehearsal's ports."""
    fetching = re.compile(
        r"^\s*(?:import|from) (?:urllib\.request|http\.client|requests|httpx|aiohttp|ftplib|smtplib)", re.M
    )
    opening = re.compile(r"^\s*(?:import socket|from socket import)", re.M)
    files = [path for room in ("bench", "drivers") for path in (ROOT / room).rglob("*.py")]
    texts = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in files}
    assert [name for name, text in texts.items() if fetching.search(text)] == []
    assert {name for name, text in texts.items() if opening.search(text)} == {
        "drivers/tcp_socket.py",
        "bench/rehearsal/ports.py",
    }

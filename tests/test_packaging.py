"""What a stranger gets: the visible top level, the wheel, the README's first commands."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT, check=True, capture_output=True, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    (built,) = folder.glob("*.whl")
    return set(zipfile.ZipFile(built).namelist())


def test_the_wheel_carries_code_and_profiles(wheel: set[str]) -> None:
    for shipped in (ROOT / "profiles").rglob("*.toml"):
        kind = shipped.parent.name
        home = "drivers" if kind in ("meters", "counters") else "bench"
        assert f"{home}/profiles/{kind}/{shipped.name}" in wheel
    assert {
        "bench/cli/__init__.py",
        "drivers/link.py",
        "bench/records/certificate/page.html",
        "bench/records/certificate/paper.typ",
        "bench/design/sheet.typ",
        "bench/py.typed",
    } <= wheel
    guide = {f"bench/guide/counter-board{end}" for end in (".md", "-wiring.svg", "-magnets.svg")}
    assert guide <= wheel
    assert {f"drivers/firmware/{file.name}" for file in (ROOT / "drivers" / "firmware").glob("*.py")} <= wheel


def test_the_wheel_owns_two_packages_and_nothing_else(wheel: set[str]) -> None:
    assert {name.split("/")[0] for name in wheel if ".dist-info" not in name} == {"bench", "drivers"}


def test_the_first_two_shell_blocks_are_the_two_commands() -> None:
    blocks = re.findall(r"^```sh\n(.*?)^```$", (ROOT / "README.md").read_text(encoding="utf-8"), re.M | re.S)
    assert "turnproof demo" in blocks[0]
    assert "pytest" in blocks[1]
    assert all(block.startswith("python3 -m venv .venv && ") and block.count("\n") == 1 for block in blocks[:2])


def test_the_visible_top_level() -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if tracked.returncode != 0:  # an unpacked archive has no git; then what lies there is what counts
        names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    else:
        names = {line.split("/")[0] for line in tracked.stdout.splitlines() if not line.startswith(".")}
    expected = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "bench", "drivers", "profiles", "tests"}
    assert expected == names - {"dist", "build"}


def test_every_file_opens_with_its_purpose() -> None:
    bare = [
        str(path.relative_to(ROOT))
        for room in ("bench", "drivers")
        for path in (ROOT / room).rglob("*.py")
        if not path.read_text(encoding="utf-8").lstrip().startswith(('"""', "#!"))
    ]
    assert bare == []


def test_every_room_is_placed_by_an_import_contract() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    placed = {module for contract in contracts for module in contract["source_modules"]}
    placed |= {module for contract in contracts for module in contract["forbidden_modules"]}
    rooms = {f"bench.{path.stem}" for path in (ROOT / "bench").iterdir() if (path / "__init__.py").exists()}
    modules = {f"bench.{path.stem}" for path in (ROOT / "bench").glob("[a-z]*.py")}
    assert rooms | modules <= placed

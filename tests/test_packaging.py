"""What a stranger gets: the visible top level, the wheel, the README's first commands."""

from __future__ import annotations

import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def _built(tree: Path, folder: Path) -> None:
    """Wheel and sdist of a tree, by the back end that its pyproject names, as an installer would have them built."""
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(folder)],
        cwd=tree, check=True, capture_output=True, stdin=subprocess.DEVNULL,
    )  # fmt: skip


@pytest.fixture(scope="module")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the sdist of this tree, its name as somebody's may be."""
    folder = tmp_path_factory.mktemp("Päck chen")
    _built(ROOT, folder)
    return folder


def _contents(folder: Path) -> dict[str, bytes]:
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture(scope="module")
def wheel(shipped: Path) -> set[str]:
    return set(_contents(shipped))


def test_the_wheel_carries_code_and_profiles(wheel: set[str]) -> None:
    for file in (ROOT / "profiles").rglob("*.toml"):
        kind = file.parent.name
        home = "drivers" if kind in ("meters", "counters") else "bench"
        assert f"{home}/profiles/{kind}/{file.name}" in wheel
    tracked = subprocess.run(
        ["git", "ls-files", "bench", "drivers"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if tracked.returncode == 0:  # an unpacked archive has no git
        assert set(tracked.stdout.splitlines()) <= wheel
    assert {
        "bench/cli/__init__.py",
        "drivers/link.py",
        "bench/records/certificate/page.html",
        "bench/records/certificate/paper.typ",
        "bench/design/sheet.typ",
        "bench/desktop/turnproof.svg",
        "bench/guide/dashboard.png",
        "bench/py.typed",
    } <= wheel
    guide = {str(path.relative_to(ROOT)) for path in (ROOT / "bench" / "guide").rglob("*.*") if path.suffix != ".pyc"}
    assert {Path(name).suffix for name in guide} >= {".md", ".png", ".svg", ".html"}
    assert guide <= wheel
    assert {f"drivers/firmware/{file.name}" for file in (ROOT / "drivers" / "firmware").glob("*.py")} <= wheel


def test_the_sdist_builds_the_same_wheel(shipped: Path, tmp_path: Path) -> None:
    (sdist,) = shipped.glob("*.tar.gz")
    with tarfile.open(sdist) as archive:
        archive.extraction_filter = getattr(tarfile, "data_filter", None)  # Debian 12's Python has none
        archive.extractall(tmp_path)
    (tree,) = tmp_path.iterdir()
    assert {"README.md", "LICENSE", "pyproject.toml", "bench", "drivers", "profiles", "tests"} <= {
        path.name for path in tree.iterdir()
    }
    assert not [path for path in tree.rglob("*") if path.suffix in (".pyc", ".sqlite") or path.name == ".venv"]
    (tree / "again").mkdir()
    _built(tree, tree / "again")
    assert _contents(tree / "again") == _contents(shipped)


def test_the_wheel_says_how_it_is_called_and_what_it_needs(shipped: Path) -> None:
    contents = _contents(shipped)
    told = {name.rpartition("/")[2]: text.decode() for name, text in contents.items() if ".dist-info/" in name}
    assert "turnproof = bench.cli:main" in told["entry_points.txt"]
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert f"Requires-Python: {settings['requires-python']}\n" in told["METADATA"]
    needs = re.findall(r"^Requires-Dist: ([\w-]+)[^;\n]*$", told["METADATA"], re.M)
    assert sorted(needs) == sorted(re.match(r"[\w-]+", one)[0].lower() for one in settings["dependencies"])  # type: ignore[index]


# Of an unpacked wheel alone, in a folder that is no checkout: everything that is read from a file of ours is there.
_TRY = """
import sys
sys.path.insert(0, sys.argv[1])
import bench, drivers
assert bench.__file__.startswith(sys.argv[1]) and drivers.__file__.startswith(sys.argv[1])
from bench.job.profiles import example_job, known
from drivers.profile_files import load_counter_profile, load_meter_profile, profile_names
assert all(known(kind) for kind in ("steels", "laminations", "wires", "limits", "jobs", "procedures", "winders"))
for name in profile_names("meters"):
    load_meter_profile(name)
for name in profile_names("counters"):
    load_counter_profile(name)
from bench.desktop.files import rule_file
from bench.cli import main
main(["check", str(example_job("coastal-receiver"))])
"""


def test_an_unpacked_wheel_finds_what_belongs_to_it(shipped: Path, tmp_path: Path) -> None:
    (wheel,) = shipped.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(tmp_path / "Bücher & co")
    done = subprocess.run(
        [sys.executable, "-P", "-c", _TRY, str(tmp_path / "Bücher & co")],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert "job file, good" in done.stdout


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

"""No case is left out."""

from __future__ import annotations

import ast
import re
from pathlib import Path

HERE = Path(__file__).parent


def cases() -> dict[int, list[str]]:
    """The tests of each case, by the numbers in their docstrings."""
    found: dict[int, list[str]] = {}
    for file in sorted(HERE.glob("test_*.py")):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                for number in re.findall(r"\bcase (\d+)", ast.get_docstring(node) or ""):
                    found.setdefault(int(number), []).append(node.name)
    return found


def test_every_case_has_a_test():
    assert sorted(cases()) == list(range(1, 31))


def test_every_test_says_which_case_it_is():
    tests = sum(len(re.findall(r"^def test_", file.read_text(), re.M)) for file in HERE.glob("test_*.py"))
    assert sum(map(len, cases().values())) == tests - 2  # those of this file

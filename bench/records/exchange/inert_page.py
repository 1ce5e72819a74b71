"""Attached files from elsewhere that a browser would run something of: told apart from those in which nothing runs."""

from __future__ import annotations

import re
from collections.abc import Callable

__all__ = ["POLICY", "page_problem"]

POLICY = (
    b'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    b"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
    b'img-src data:">\n'
)
"""What each certificate of ours begins with: under it a browser runs no script and loads nothing."""

_PAGES, _DRAWINGS = (".html", ".htm"), (".svg",)
_RUN = (
    ".xhtml", ".xml", ".mht", ".mhtml", ".hta", ".js", ".vbs", ".wsf", ".exe", ".com", ".scr", ".bat", ".cmd", ".ps1",
    ".lnk", ".url", ".desktop", ".jar", ".msi", ".app",
)  # fmt: skip
# What the policy does not forbid: to be led elsewhere.
_LEADS = re.compile(rb"<\s*(script|meta|base|form|iframe|object|embed|link|a)\b", re.IGNORECASE)
_RUNS_IN_A_DRAWING = re.compile(
    rb"<\s*(script|foreignobject|iframe|a|use|image|animate|set)\b|<!|\bon\w+\s*=|javascript:", re.IGNORECASE
)


def page_problem(name: str, contents: Callable[[], bytes]) -> str:
    """Why an attached file of that name is refused, in a few words; empty where it is not."""
    suffix = "." + name.rpartition(".")[2].lower()
    if suffix in _RUN:
        return f"a file that ends in {suffix} may run when it is opened, and is not taken"
    if suffix in _PAGES:
        whole = contents()
        if not whole.startswith(POLICY) or _LEADS.search(whole[len(POLICY) :]):
            return "is no certificate as this program writes it, and a browser could run what is in it"
    if suffix in _DRAWINGS and _RUNS_IN_A_DRAWING.search(contents()):
        return "is a drawing with more than a drawing in it"
    return ""

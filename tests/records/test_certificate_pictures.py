"""Pictures on a certificate: those that are marked, small, the right way up; a bad one is named and spoils nothing."""

from __future__ import annotations

import base64
import hashlib
import io
import re
import struct
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pypdf
import pytest
from PIL import Image

from bench.job.profiles import example_job
from bench.records.attachments import attachments_folder
from bench.records.certificate import Form, ReasonWanting, facts_of, give, page, paper
from bench.records.certificate.shrunk import SIDE
from bench.records.entry import Kind
from bench.records.store import Store
from bench.sitting.attaching import keep_picture, mark_picture
from tests.acceptance.ideal_bench import run_ideal

NUMBER = "TP-0107"
_TEXT = example_job("coastal-receiver").read_text(encoding="utf-8")
_LEFT, _RIGHT = (200, 20, 20), (20, 20, 200)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """With one finished test."""
    body: dict[str, Any] = {
        "schema": 1, "verdict": "accepted", "steps": [], "findings": [], "not_done": [], "next": None,
    }  # fmt: skip
    with Store(tmp_path / "data" / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        store.append(NUMBER, Kind.RESULT, body)
        yield store


def _photograph(path: Path, size: tuple[int, int] = (1200, 600), turned: int = 1) -> Path:
    """Red on the left as it lies, blue on the right."""
    image = Image.new("RGB", size, _LEFT)
    image.paste(_RIGHT, (size[0] // 2, 0, *size))
    exif = Image.Exif()
    exif[0x0112] = turned
    exif[0x9003] = "2026:03:04 10:11:12"
    image.save(path, **({} if path.suffix == ".gif" else {"exif": exif}))
    return path


def _keep(store: Store, path: Path, **told: Any) -> int:
    return keep_picture(store, NUMBER, path, {"on_certificate": True, **told}).seq


def _on_paper(store: Store) -> list[Image.Image]:
    reader = pypdf.PdfReader(io.BytesIO(paper(facts_of(store, NUMBER))))
    return [one.image.convert("RGB") for page in reader.pages for one in page.images if one.image is not None]


def _on_page(made: str) -> list[Image.Image]:
    found = re.findall(r'src="data:image/png;base64,([^"]+)"', made)
    return [Image.open(io.BytesIO(base64.b64decode(one))).convert("RGB") for one in found]


def _words(made: bytes) -> str:
    return " ".join(" ".join(one.extract_text() for one in pypdf.PdfReader(io.BytesIO(made)).pages).split())


def _near(seen: object, wanted: tuple[int, int, int]) -> bool:
    assert isinstance(seen, tuple)
    return all(abs(a - b) < 12 for a, b in zip(seen, wanted, strict=True))


@pytest.mark.parametrize("suffix", [".jpg", ".png", ".webp", ".gif"])
def test_a_marked_picture_stands_in_both_with_its_caption(store: Store, tmp_path: Path, suffix: str) -> None:
    _keep(store, _photograph(tmp_path / f"IMG_20260304{suffix}"), caption="lead dress #panic() <b>", winding="ht")
    keep_picture(store, NUMBER, _photograph(tmp_path / f"unmarked{suffix}", (300, 300)))
    html = page(facts_of(store, NUMBER))
    for images in (_on_paper(store), _on_page(html)):
        (image,) = images
        assert image.size == (SIDE, SIDE // 2)
        assert _near(image.getpixel((SIDE // 4, SIDE // 4)), _LEFT)
        assert _near(image.getpixel((3 * SIDE // 4, SIDE // 4)), _RIGHT)
    assert "lead dress #panic() &lt;b&gt;; of ht; kept 20" in html
    assert "lead dress #panic() <b>; of ht; kept 20" in _words(paper(facts_of(store, NUMBER)))


def test_a_picture_that_was_taken_upright_stands_upright(store: Store, tmp_path: Path) -> None:
    """Orientation 6: what lies at the left of the file is at the top (Exif 2.3, 4.6.4)."""
    _keep(store, _photograph(tmp_path / "turned.jpg", turned=6))
    (image,) = _on_paper(store)
    assert image.width < image.height
    assert _near(image.getpixel((image.width // 2, 20)), _LEFT)
    assert _near(image.getpixel((image.width // 2, image.height - 20)), _RIGHT)


def test_nothing_of_the_file_but_what_is_seen_goes_along(store: Store, tmp_path: Path) -> None:
    _keep(store, _photograph(tmp_path / "IMG_20260304_101112.jpg"))
    html = page(facts_of(store, NUMBER))
    for made in (paper(facts_of(store, NUMBER)), html.encode(), base64.b64decode(html.partition("base64,")[2][:4000])):
        for told in (b"IMG_2026", b"2026:03:04", b"Exif"):
            assert told not in made


def test_a_bad_picture_is_named_and_spoils_nothing(store: Store, tmp_path: Path) -> None:
    good = _photograph(tmp_path / "good.jpg").read_bytes()
    claims = bytearray(_photograph(tmp_path / "good.png").read_bytes())
    claims[16:24] = struct.pack(">II", 60_000, 60_000)
    bad = {
        "cut.jpg": (good[:500], "is damaged"),
        "none.jpg": (b"hello", "is no picture that can be shown"),
        "telephone.heic": (b"\x00\x00\x00\x18ftypheic" + b"x" * 99, "is HEIC, which can't be shown"),
        "bomb.png": (bytes(claims), "60000 x 60000 pixels"),
        "noise.png": (
            b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR" + struct.pack(">II", 40, 40) + b"\xff" * 40,
            "is damaged",
        ),
    }
    for name, (data, _) in bad.items():
        (tmp_path / name).write_bytes(data)
        _keep(store, tmp_path / name, caption=f"the {name}")
    for name, problem in (("lost", "is missing"), ("altered", "was altered")):
        seq = _keep(store, _photograph(tmp_path / f"{name}.jpg", (640, 480 + len(name))), caption=f"the {name}")
        kept = attachments_folder(store.path) / next(
            one.body["file"] for one in store.entries(NUMBER, Kind.PHOTO) if one.seq == seq
        )
        kept.chmod(0o600)
        kept.unlink() if name == "lost" else kept.write_bytes(good)
        bad[name] = (b"", problem)
    _keep(store, tmp_path / "good.jpg", caption="the good one")
    html = page(facts_of(store, NUMBER))
    for words in (unescape(html), _words(paper(facts_of(store, NUMBER)))):
        for name, (_, problem) in bad.items():
            assert re.search(rf"the {name}; kept 20[-\d]+: kept as entry \d+, but [^.]*{problem}", words), name
    assert len(_on_paper(store)) == len(_on_page(html)) == 1


def test_a_mark_amends_a_certificate_that_was_given(store: Store, tmp_path: Path) -> None:
    seq = keep_picture(store, NUMBER, _photograph(tmp_path / "a.jpg"), {"caption": "screen"}).seq
    first = give(store, NUMBER, Form.PAGE, "a.html")
    mark_picture(store, NUMBER, seq, {"on_certificate": True})
    with pytest.raises(ReasonWanting, match="pictures: screen; kept"):
        give(store, NUMBER, Form.PAGE, "a.html")
    second = give(store, NUMBER, Form.PAGE, "a.html", "the screen is to be seen")
    assert (len(_on_page(first.contents.decode())), len(_on_page(second.contents.decode()))) == (0, 1)


def test_with_three_pictures_and_every_reading_it_is_two_pages(tmp_path: Path) -> None:
    with Store(tmp_path / "data" / "r.sqlite") as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": _TEXT})
        store.append(NUMBER, Kind.RESULT, run_ideal()[0].as_json())
        for number in range(3):
            _keep(store, _photograph(tmp_path / f"{number}.jpg", (800, 600 + number)), caption=f"picture of {number}")
        made = paper(facts_of(store, NUMBER))
        assert len(pypdf.PdfReader(io.BytesIO(made)).pages) == 2
        assert len(_on_paper(store)) == 3
        assert made == paper(facts_of(store, NUMBER))


def test_a_large_photograph_makes_no_large_certificate(store: Store, tmp_path: Path) -> None:
    image = Image.effect_noise((3000, 2000), 90).convert("RGB")
    image.save(tmp_path / "noise.jpg", quality=95)
    size = (tmp_path / "noise.jpg").stat().st_size
    _keep(store, tmp_path / "noise.jpg")
    made = paper(facts_of(store, NUMBER))
    assert size > 3_000_000
    assert len(made) < 1_200_000
    kept = store.entries(NUMBER, Kind.PHOTO)[0].body
    assert kept["bytes"] > 3_000_000  # the picture itself stays
    data = (attachments_folder(store.path) / kept["file"]).read_bytes()
    assert hashlib.sha256(data).hexdigest() == kept["sha256"]

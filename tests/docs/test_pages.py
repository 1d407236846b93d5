"""The generated pages in docs/ are those that the code and the packages make."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tallyhook.docs.pages import generated_pages
from tallyhook.docs.picture import screen_svg

DOCS = Path(__file__).resolve().parents[2] / "docs"

pages = cache(generated_pages)  # once a process: they take a check of the demo


@pytest.mark.parametrize("name", sorted(pages()))
def test_a_generated_page_is_up_to_date(name: str) -> None:
    path = DOCS / name
    assert path.exists(), f"docs/{name} is not there yet: run scripts/docs"
    text = path.read_text(encoding="utf-8")
    assert text == pages()[name], f"docs/{name} is of an earlier state: run scripts/docs"


def test_no_page_is_left_of_what_is_gone() -> None:
    found = {
        str(p.relative_to(DOCS)) for sub in ("rules", "packages") for p in DOCS.glob(f"{sub}/*")
    }
    left = found - pages().keys()
    assert left == set(), "run scripts/docs"


def test_the_picture_of_a_screen_holds_its_words_and_loads_nothing() -> None:
    screen = "\x1b[1;31mDANGER (1)\x1b[0m: a < b & c\n  row 2  chain"
    drawn = screen_svg(screen, title="an <invented> title", width=40)
    root = ElementTree.fromstring(drawn)  # well formed
    words = [
        "".join(e.itertext()).replace("\xa0", " ") for e in root.iter() if e.tag.endswith("text")
    ]
    words = [each for each in words if each.strip()]
    assert words == ["an <invented> title", "DANGER (1)", ": a < b & c", "  row 2  chain"]
    assert re.findall(r"https?://[^\"]*|@import|@font-face|url\((?!#)", drawn) == [
        "http://www.w3.org/2000/svg"
    ]


def test_the_picture_is_the_same_whatever_colours_the_environment_asks_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    wanted = screen_svg("\x1b[31mred\x1b[0m", title="t", width=10)
    for name, value in (("NO_COLOR", "1"), ("TERM", "dumb"), ("COLORTERM", "truecolor")):
        monkeypatch.setenv(name, value)
        assert screen_svg("\x1b[31mred\x1b[0m", title="t", width=10) == wanted

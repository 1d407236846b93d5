"""The picture of a terminal's screen: its words, and nothing that it would have to load."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from tallyhook.docs.picture import screen_svg


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

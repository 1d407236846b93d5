"""An invented language in which every letter of a message is another: what is still English shows.

The letters of a message become those of another alphabet, its parts stay. What a person reads and
still holds a Latin word is then a text that no catalogue can translate, or a part.
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Sequence
from functools import cache
from html.parser import HTMLParser
from itertools import permutations
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from tallyhook.messages import LOCALES

LANGUAGE = "xx"
_LETTERS = str.maketrans(
    string.ascii_letters,
    "".join(chr(0x430 + n) for n in range(26)) + "".join(chr(0x410 + n) for n in range(26)),
)


def marked(message: str) -> str:
    """Write a message in the invented language.

    Examples
    --------
    >>> marked("row {row}: no load")
    'соц {row}: но лоаг'
    """
    pieces = []
    for text, name, form, _ in string.Formatter().parse(message):
        part = "" if name is None else f"{{{name}{':' + form if form else ''}}}"
        whole = text.replace("{", "{{").replace("}", "}}")
        pieces.append(re.sub(r"&\w+;|<[^<>]*>|[^&<]+|[&<]", _translated, whole) + part)
    return "".join(pieces)


def _translated(found: re.Match[str]) -> str:
    text = found[0]
    # tags and named characters of a message of the page
    return text if text[0] in "&<" and len(text) > 1 else text.translate(_LETTERS)


def write_catalogue(folder: Path) -> Path:
    """Write the catalogue of the invented language, as every message of the template marked."""
    with (LOCALES / "tallyhook.pot").open("rb") as lines:
        template = read_po(lines)
    own = Catalog(locale="en")
    for message in template:
        if not message.id:
            continue
        if isinstance(message.id, str):
            own.add(message.id, _whole(message.id))
        else:
            own.add(message.id, tuple(marked(form) for form in message.id))
    place = folder / LANGUAGE / "LC_MESSAGES"
    place.mkdir(parents=True)
    with (place / "tallyhook.mo").open("wb") as out:
        write_mo(out, own)
    return folder


def _whole(message: str) -> str:
    try:
        return marked(message)
    except ValueError:  # a text of a table, with a brace of its own
        return message.translate(_LETTERS)


@cache
def _any_of(phrases: frozenset[str]) -> re.Pattern[str]:
    longest_first = sorted((p for p in phrases if p), key=len, reverse=True)
    whole = (rf"(?<![A-Za-z]){re.escape(p)}(?![A-Za-z])" for p in longest_first)
    return re.compile("|".join(whole) or "(?!)")


def latin_words(text: str, known: Sequence[frozenset[str]], codes: re.Pattern[str]) -> list[str]:
    """Give the lines of a text that hold Latin words, but for what is known and for codes.

    Examples
    --------
    >>> known = [frozenset({"Chain"}), frozenset({"mm"})]
    >>> latin_words("соц 3: 10 mm Chain\\nno grade", known, re.compile("--.*"))
    ['no grade']
    """
    word = re.compile(r"[A-Za-z]{2,}")
    patterns = [_any_of(phrases) for phrases in known]

    def holds_words(line: str) -> bool:
        # a known title may hold a code or a word of the list, and the other way round
        for order in permutations([*patterns, codes]):
            rest = line
            for pattern in order:
                rest = pattern.sub(" ", rest)
            if not word.search(rest):
                return False
        return True

    return [line for line in text.splitlines() if word.search(line) and holds_words(line)]


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self._skip = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._skip += tag in ("script", "style")
        said = ("aria-label", "placeholder", "data-label", "title", "alt")
        self.texts += [value for name, value in attrs if name in said and value]

    def handle_endtag(self, tag: str) -> None:
        self._skip -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._skip and data.strip():
            self.texts.append(" ".join(data.split()))


def texts_of_page(html: str) -> str:
    """Give what a person reads on a page, one text a line."""
    page = _Page()
    page.feed(html)
    return "\n".join(page.texts)


def strings(value: Any) -> Iterator[str]:
    """Give every text of plain data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for each in value.values():
            yield from strings(each)
    elif isinstance(value, list):
        for each in value:
            yield from strings(each)

"""Text cut into tokens, and words written as the vocabulary writes them.

One pass of one regular expression without nested repetition, so that time grows with the length
of the text and with nothing else.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

__all__ = [
    "FRACTIONS",
    "MARK",
    "NUMBER",
    "WORD",
    "Token",
    "fold",
    "one_mark",
    "phrase_words",
    "tokens_of",
    "words_of",
]

NUMBER, WORD, MARK = 0, 1, 2

# the many dashes, quotes and spaces of typed text, one for one so that positions stay
_SAME = str.maketrans(
    {
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u201c\u201d\u201e\u2033\uff02", '"'),
        **dict.fromkeys("\u2018\u2019\u201a\u2032\u00b4`", "'"),
        **dict.fromkeys("\u00a0\u2002\u2003\u2007\u2009\u202f\t\r\n", " "),
        "\u00d7": "x",
        "\u2044": "/",
        "\u00ba": "\u00b0",
        "\u2300": "\u00f8",
        "\u00d8": "\u00f8",
        "\u2205": "\u00f8",
    }
)

FRACTIONS = {
    "¼": (1, 4),
    "½": (1, 2),
    "¾": (3, 4),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
}
_TOKEN = re.compile(r"([0-9]+(?:[.,'][0-9]+)*|(?<![\w.,])\.[0-9]+)|([¼½¾⅛⅜⅝⅞])|([^\W\d_]+)|(\S)")


def _plain(char: str) -> str:
    base = unicodedata.normalize("NFKD", char)
    return "".join(c for c in base if not unicodedata.combining(c))


_ACCENTS = {
    code: plain
    for code in range(0xC0, 0x180)
    if chr(code).isalpha() and (plain := _plain(chr(code))) != chr(code)
} | {ord("œ"): "oe", ord("æ"): "ae", ord("ł"): "l"}


@lru_cache(maxsize=16384)
def fold(word: str) -> str:
    """Write a word in small letters without accents, as the vocabulary does.

    Examples
    --------
    >>> fold("Güteklasse"), fold("ŒIL"), fold("Gießerei")
    ('guteklasse', 'oeil', 'giesserei')
    """
    return word.casefold().translate(_ACCENTS)


class Token(NamedTuple):
    """A number, a word or a single mark, with its place in the text."""

    kind: int
    text: str
    fold: str
    start: int
    end: int


def one_mark(text: str) -> str:
    """Write the many dashes, quotes and spaces of typed text as one, without moving any."""
    return text.translate(_SAME)


def words_of(text: str) -> tuple[str, ...]:
    """Cut a phrase of the vocabulary into the words that `Scan` would give it."""
    if text.isascii() and text.replace(" ", "").isalpha():  # most phrases: plain words
        return tuple(text.lower().split())
    return tuple(w for w in phrase_words(tokens_of(one_mark(text)))[0] if w)


def tokens_of(text: str) -> list[Token]:
    """Cut a text, its marks made one with `one_mark`, into tokens."""
    out = []
    for match in _TOKEN.finditer(text):
        piece = match.group()
        group = match.lastindex
        if group in (1, 2):
            out.append(Token(NUMBER, piece, piece, match.start(), match.end()))
        elif group == 3:
            out.append(Token(WORD, piece, fold(piece), match.start(), match.end()))
        else:
            out.append(Token(MARK, piece, piece, match.start(), match.end()))
    return out


def phrase_words(tokens: Iterable[Token]) -> tuple[list[str], list[int]]:
    """Give the words that phrases are matched with, and the token of each."""
    words: list[str] = []
    where: list[int] = []
    before: Token | None = None
    for i, token in enumerate(tokens):
        if token.kind == MARK:
            if token.text in ",;:()[]|=":
                words.append("")
                where.append(i)
            elif token.text == "&":
                words.append("and")
                where.append(i)
            elif token.text == "#":
                words.append("#")
                where.append(i)
        elif not (
            token.fold == "s"
            and before is not None
            and before.text == "'"
            and len(words) > 0
            and before.end == token.start
        ):
            words.append(token.fold)
            where.append(i)
        before = token
    return words, where

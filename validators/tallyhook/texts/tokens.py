"""Text cut into tokens, and a note of which tokens have been read.

One pass of one regular expression without nested repetition, so that time grows with the length
of the text and with nothing else. Every reader works on the same tokens and claims what it has
read; no piece of text is read twice.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

__all__ = [
    "FRACTIONS",
    "LONGEST",
    "MARK",
    "NUMBER",
    "WORD",
    "Context",
    "Scan",
    "Token",
    "fold",
    "words_of",
]

NUMBER, WORD, MARK = 0, 1, 2

LONGEST = 1000
"""Characters of one text that are read; an item's description is far shorter."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What the rest of the list says about how its texts are to be read.

    Attributes
    ----------
    decimal : str or None
        The decimal mark of the list, ``,`` or ``.``; None when nobody knows.
    system : str or None
        ``us`` for a list in inches and pounds, ``metric`` for one in mm, kg and t.
    """

    decimal: str | None = None
    system: str | None = None


class Scan:
    """The tokens of one text, its words for phrase matching, and what has been claimed.

    ``words`` are the folded words and numbers with an empty string wherever a phrase may not
    go on (comma, bracket, colon); ``where`` gives the token of each and ``place`` the reverse.
    """

    __slots__ = ("context", "place", "text", "tokens", "used", "where", "words")

    def __init__(self, text: str, context: Context) -> None:
        self.context = context
        self.text = text[:LONGEST].translate(_SAME)
        self.tokens = _tokens(self.text)
        self.used = bytearray(len(self.tokens))
        self.words, self.where = _phrase_words(self.tokens)
        self.place = {token: word for word, token in enumerate(self.where)}

    def adjacent(self, i: int) -> bool:
        """Tell whether token `i` follows the one before it without a space."""
        return 0 < i < len(self.tokens) and self.tokens[i].start == self.tokens[i - 1].end

    def is_mark(self, i: int, marks: str) -> bool:
        """Tell whether token `i` exists and is one of these marks."""
        return (
            0 <= i < len(self.tokens)
            and self.tokens[i].kind == MARK
            and self.tokens[i].text in marks
        )

    def is_number(self, i: int) -> bool:
        """Tell whether token `i` exists and is a number."""
        return 0 <= i < len(self.tokens) and self.tokens[i].kind == NUMBER

    def folded(self, i: int) -> str:
        """Give the folded word of token `i`, or nothing past the ends."""
        return self.tokens[i].fold if 0 <= i < len(self.tokens) else ""

    def claim(self, start: int, end: int) -> None:
        """Mark tokens as read."""
        for i in range(start, end):
            self.used[i] = 1

    def is_used(self, start: int, end: int) -> bool:
        """Tell whether any of the tokens has been read."""
        return 1 in self.used[start:end]

    def cut(self, start: int, end: int) -> str:
        """Give the text of tokens `start` to `end` (without `end`)."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]

    def stands_free(self, start: int, end: int) -> bool:
        """Tell whether tokens are not part of a longer run such as an item code."""
        return self.free_before(start) and self.free_after(end)

    def free_before(self, i: int) -> bool:
        """Tell whether nothing that is not read is joined to token `i` from the left."""
        if not self.adjacent(i) or self.used[i - 1]:
            return True
        before = self.tokens[i - 1]
        if before.kind != MARK:
            return before.fold in ("x", "ø")
        if before.text not in "-/_.#*+\\$€£'\"":
            return True
        if before.text not in "-/":
            return before.text == '"'
        # a dash after a space, or after something read, joins nothing
        return i == 1 or not self.adjacent(i - 1) or bool(self.used[i - 2])

    def free_after(self, i: int) -> bool:
        """Tell whether nothing that is not read is joined to the token before `i`."""
        if not self.adjacent(i) or self.used[i]:
            return True
        after = self.tokens[i]
        if after.kind != MARK:
            return after.fold == "x"
        if after.text not in "-/_\\%'":
            return True
        if after.text not in "-/" or i + 1 >= len(self.tokens) or not self.adjacent(i + 1):
            return after.text in "-/"
        return bool(self.used[i + 1]) or (
            self.tokens[i + 1].kind == WORD and not (self.is_number(i + 2) and self.adjacent(i + 2))
        )


def words_of(text: str) -> tuple[str, ...]:
    """Cut a phrase of the vocabulary into the words that `Scan` would give it."""
    if text.isascii() and text.replace(" ", "").isalpha():  # most phrases: plain words
        return tuple(text.lower().split())
    return tuple(w for w in _phrase_words(_tokens(text.translate(_SAME)))[0] if w)


def _tokens(text: str) -> list[Token]:
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


def _phrase_words(tokens: Iterable[Token]) -> tuple[list[str], list[int]]:
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

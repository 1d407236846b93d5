"""What the text of a row says that is no item: a total, a note, the heading of a group."""

from __future__ import annotations

import re
from functools import cache, lru_cache

import polars as pl

from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import holds_load, holds_size
from tallyhook.recognising.headings import read_heading
from tallyhook.recognising.words import grade_prefixes, one_of
from tallyhook.texts.description import describe
from tallyhook.vocabulary.lexicon import phrases, rows
from tallyhook.vocabulary.tokens import fold, words_of

__all__ = [
    "heads_group",
    "is_note",
    "is_sentence",
    "is_total",
    "letters_in",
    "names_goods",
    "names_size",
    "opens_note",
    "opens_with_total",
    "says_grade",
]

_LETTER = re.compile(r"[^\W\d_]")
_ACCENTED = ("aàáäâ", "eéèê", "oóöô", "uúüû", "ií")


@cache
def _row_words(means: str) -> frozenset[tuple[str, ...]]:
    return frozenset(words_of(str(r["word"])) for r in rows("row-words") if r["means"] == means)


_ACCENTED = ("aàáäâ", "eéèê", "oóöô", "uúüû", "ií")
"""Letters with the accents that they may have."""


@cache
def _total_pattern() -> str:
    """Give a pattern for cells that open with a word of a total, accents or not."""
    accented = {letters[0]: f"[{letters}]" for letters in _ACCENTED}
    totals = _row_words("total")
    # polars compiles it for each thread, and each \W costs time: "total general" opens with "total"
    # already, and "grand total" and "sub total" share what follows
    first: dict[str, list[str]] = {}
    for words in sorted(totals):
        if not any(words[:n] in totals for n in range(1, len(words))):
            word, *rest = ("".join(accented.get(c, c) for c in word) for word in words)
            first.setdefault("".join(rf"\W+{r}" for r in rest), []).append(word)
    plain = "|".join(f"(?:{'|'.join(found)}){rest}" for rest, found in first.items())
    return rf"(?i)^\W*(?:{plain})(?:\W|$)"


def opens_with_total(column: str) -> pl.Expr:
    """Whether a cell opens with the word of a total."""
    return pl.col(column).str.contains(_total_pattern())


def _opens(text: str, words: frozenset[tuple[str, ...]]) -> bool:
    first = tuple(w for w in words_of(text) if w)[:5]
    return any(first[:n] in words for n in range(len(first), 0, -1))


def is_total(text: str) -> bool:
    """Whether a text opens with the word of a total."""
    return _opens(text, _row_words("total"))


def opens_note(text: str) -> bool:
    """Whether a text opens with a word that only notes open with."""
    return _opens(text, _row_words("note"))


def is_note(text: str) -> bool:
    """Whether a text is a remark: by its mark, its end, its length or its first word."""
    if _is_marked(text) or text.rstrip().endswith((".", "!")):
        return True
    long = len(text) > thresholds.LONGEST_TITLE
    return long or _opens(text, _row_words("note") | _row_words("sentence"))


def _is_marked(text: str) -> bool:
    return re.match(r"\s*(?:\*|†|\(?\d\)|\d\.\s)", text) is not None


def is_sentence(text: str) -> bool:
    """Whether a text says something about the list: a mark, a note's first word, or a verb."""
    if _is_marked(text) or opens_note(text):
        return True
    return any((word,) in _row_words("sentence") for word in words_of(text))


@lru_cache(maxsize=4096)
def names_size(text: str) -> bool:
    """Whether a size can be read in a text."""
    if not any(char.isnumeric() for char in text):  # a size is a number, and reading takes long
        return False
    read = describe(text)
    return read.size is not None or read.size_either is not None


def says_grade(text: str) -> bool:
    """Whether a text names a grade with its number."""
    return "grade" in read_heading(text).gives or bool(_grade_with_number().search(fold(text)))


@cache
def _grade_with_number() -> re.Pattern[str]:
    return re.compile(rf"\b{one_of(grade_prefixes())}\W{{0,2}}\d")


def names_goods(text: str) -> bool:
    """Whether a text names a grade or a kind of goods, and so can head a group of rows."""
    words = words_of(text)
    tables = (
        ("kind-words", "word"),
        ("form-words", "word"),
        ("connection-words", "word"),
        ("grade-words", "word"),
    )
    return says_grade(text) or any(phrases(table, key, key).find(words) for table, key in tables)


def heads_group(text: str, *, alone: bool) -> bool:
    """Whether the only filled cell of a row heads the rows below it.

    `alone` says that items of this list are single cells, too; then only capitals or a colon
    make a heading.
    """
    if not re.search(r"[^\W\d_]{2}", text) and not holds_size(text):
        return False
    if (
        len(text) > thresholds.LONGEST_HEADING
        or holds_load(text)
        or is_note(text)
        or is_total(text)
        or is_sentence(text)
    ):
        return False
    if alone:
        return (
            (text.isupper() or text.rstrip().endswith(":"))
            and names_goods(text)
            and not holds_size(text)
        )
    return True


def letters_in(text: str) -> int:
    """Count the letters of a text."""
    return len(_LETTER.findall(text))

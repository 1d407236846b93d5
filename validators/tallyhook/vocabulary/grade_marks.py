"""How a grade is marked: the words before its mark, as a set and as part of a pattern."""

from __future__ import annotations

from functools import cache

from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.patterns import any_of

__all__ = ["grade_prefixes", "grade_words"]


@cache
def grade_prefixes(*, after: bool = False) -> frozenset[str]:
    """Give the words before a grade mark, or those of them that may stand after it, too.

    Examples
    --------
    >>> "guteklasse" in grade_prefixes(), "guteklasse" in grade_prefixes(after=True)
    (True, False)
    """
    table = rows("grade-prefixes")
    return frozenset(str(r["prefix"]) for r in table if r["after"] or not after)


@cache
def grade_words(*, least: int = 1) -> str:
    """Give the words of `least` letters before a grade mark as alternatives of a pattern."""
    return any_of(word for word in grade_prefixes() if len(word) >= least)

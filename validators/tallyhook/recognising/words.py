"""The words by which columns and lines are recognised, as sets and as parts of patterns."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from tallyhook.vocabulary.lexicon import rows

__all__ = [
    "column_words",
    "grade_letters",
    "grade_names",
    "grade_numbers",
    "grade_prefixes",
    "one_of",
    "title_words",
]


@cache
def column_words(means: str) -> frozenset[str]:
    """Give the words of ``vocabulary.column-words`` with a meaning."""
    return frozenset(str(r["word"]) for r in rows("column-words") if r["means"] == means)


@cache
def title_words(means: str) -> frozenset[str]:
    """Give the words of ``vocabulary.title-words`` with a meaning."""
    return frozenset(str(r["word"]) for r in rows("title-words") if r["means"] == means)


@cache
def grade_prefixes() -> frozenset[str]:
    """Give the words before the number of a grade: "Gk 8", "class 80"."""
    prefixes = frozenset(str(r["prefix"]) for r in rows("grade-prefixes"))
    return prefixes | column_words("grade")


@cache
def grade_numbers(*, metric: bool = True) -> Mapping[str, int | None]:
    """Give the numbers that mark a grade, and the grade of each; without the metric ones or not."""
    return {
        str(r["mark"]): r["grade"]
        for r in rows("grade-marks")
        if str(r["mark"]).isdigit() and (metric or r["system"] == "any")
    }


@cache
def grade_letters(*, metric: bool = True) -> frozenset[str]:
    """Give the letters that mark a grade; without those that mark metric chain alone or not."""
    return frozenset(
        str(r["mark"])
        for r in rows("grade-marks")
        if len(str(r["mark"])) == 1
        and str(r["mark"]).isalpha()
        and r["grade"]
        and (metric or r["system"] == "any")
    )


@cache
def grade_names(*, sure: bool = False) -> frozenset[str]:
    """Give the names of grades that hold no kind of goods: "proof coil", and no "trucker chain".

    With `sure` only those of one grade: "alloy" is of two.
    """
    kinds = {str(r["word"]) for r in rows("kind-words")}
    wanted = {"canonical"} if sure else {"canonical", "fixed", "ambiguous"}
    return frozenset(
        str(r["word"])
        for r in rows("grade-words")
        if r["status"] in wanted and not kinds & set(str(r["word"]).split())
    )


def one_of(words: Iterable[str], *, between: str = " ") -> str:
    """Give a pattern for one of some words, the longest first; a star stands for any ending.

    Parameters
    ----------
    words : iterable of str
        Words and phrases in small letters.
    between : str
        The pattern of what stands between the words of a phrase.

    Examples
    --------
    >>> one_of(["to", "up to", "senkrecht*"])
    '(?:senkrecht\\\\w*|up to|to)'
    """
    longest_first = sorted(words, key=lambda w: (-len(w), w))
    plain = (re.escape(w).replace(r"\ ", between).replace(r"\*", r"\w*") for w in longest_first)
    return f"(?:{'|'.join(plain)})"

"""Words that say how the text beside them is read, by what they are for."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from tallyhook.vocabulary.lexicon import Phrases, rows

__all__ = ["head_first", "length_units", "phrases_for", "units_with", "words_for"]


@cache
def _by_use() -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for row in rows("context-words"):
        found.setdefault(str(row["use"]), []).append(str(row["word"]))
    return found


@cache
def words_for(*uses: str) -> frozenset[str]:
    """Give the single words of one or several uses, folded.

    Examples
    --------
    >>> "hasta" in words_for("range"), "hasta" in words_for("or", "and")
    (True, False)
    """
    return frozenset(word for use in uses for word in _by_use()[use])


@cache
def phrases_for(use: str) -> Phrases:
    """Give the words and phrases of a use, to be found in the words of a text."""
    return Phrases((word, use) for word in _by_use()[use])


@cache
def head_first() -> frozenset[str]:
    """Give the languages whose compounds begin with the noun that names the thing."""
    return frozenset(str(r["language"]) for r in rows("languages") if r["head"] == "first")


@cache
def length_units(*, sure: bool = False) -> frozenset[str]:
    """Give the spellings of units of length; of those only the ones that are no other word."""
    found = units_with(unit="mm") | units_with(unit="cm") | units_with(unit="in")
    return found - units_with(care="words") if sure else found


@cache
def units_with(*, care: str | None = None, unit: str | None = None) -> frozenset[str]:
    """Give the spellings of units that need some care, or those of one unit."""
    return frozenset(
        str(row["spelling"])
        for row in rows("units")
        if care in (None, row["care"]) and unit in (None, row["unit"])
    )

"""Cells that say that there is nothing to say."""

from __future__ import annotations

from functools import cache

from tallyhook.vocabulary.lexicon import rows

__all__ = ["blanks", "is_blank"]


@cache
def blanks() -> frozenset[str]:
    """Give the texts of empty cells, in small letters, the empty text among them."""
    return frozenset(["", *(str(row["mark"]) for row in rows("blanks"))])


def is_blank(text: str) -> bool:
    """Tell whether a cell says nothing.

    Examples
    --------
    >>> is_blank(" N/A "), is_blank("–"), is_blank("0")
    (True, True, False)
    """
    return text.strip().casefold() in blanks()

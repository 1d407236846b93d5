"""Parts of patterns that are built from words of the vocabulary."""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["any_of"]


def any_of(words: Iterable[str]) -> str:
    """Write words as alternatives of a pattern, the longest first.

    Examples
    --------
    >>> any_of({"in", "inch", "sq. ft"})
    'sq\\\\. ft|inch|in'
    """
    ordered = sorted(words, key=lambda word: (-len(word), word))
    return "|".join(re.escape(word).replace(r"\ ", " ") for word in ordered)

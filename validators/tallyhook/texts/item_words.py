"""What the words of an item say, as expressions over its column ``item``.

Each takes the words row by row; a rule asks only of the rows that can break it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import polars as pl

from tallyhook.texts.flags import says, turns_under_load
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.denials import SAID
from tallyhook.vocabulary.lexicon import phrases

__all__ = ["called_lifting", "named_swivel", "said_to_turn"]

_SWIVEL = "swivel"


def called_lifting() -> pl.Expr:
    """Whether an item's words call it a thing for lifting, and do not deny it."""
    return _over_item(_lifting)


def said_to_turn() -> pl.Expr:
    """Whether an item's words say that it turns under load, and do not deny it."""
    return _over_item(_turning)


def named_swivel(*, where: pl.Expr) -> pl.Expr:
    """Whether the words of the items that `where` chooses name a swivel, and do not deny it."""
    asked = pl.when(where).then("item")
    return asked.map_elements(_swivelling, return_dtype=pl.Boolean).fill_null(False)


def _over_item(read: Callable[[str], bool]) -> pl.Expr:
    return pl.col("item").map_elements(read, return_dtype=pl.Boolean).fill_null(False)


@lru_cache(maxsize=4096)
def _lifting(text: str) -> bool:
    return says(text, "lifting")


@lru_cache(maxsize=4096)
def _turning(text: str) -> bool:
    return turns_under_load(Scan(text, Context())) is True


@lru_cache(maxsize=4096)
def _swivelling(text: str) -> bool:
    scan = Scan(text, Context())
    hits = phrases("connection-words", "word", "slug").find(scan.words)
    swivels = [h for h in hits if str(h.value).endswith(_SWIVEL)]
    spans = [(scan.where[h.start], scan.where[h.end - 1] + 1) for h in swivels]
    return any(scan.denials.verdict(*span).polarity == SAID for span in spans)

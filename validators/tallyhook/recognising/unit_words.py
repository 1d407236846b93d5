"""Spellings of units, and the unit that a text is."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

from tallyhook.recognising.words import column_words
from tallyhook.units import CANONICAL, quantity_kind
from tallyhook.vocabulary.context import units_with
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import words_of

__all__ = ["kind_of_unit", "measures_load", "plain_words", "unit_of", "unit_words"]


@cache
def unit_words() -> Mapping[tuple[str, ...], str]:
    """Give every spelling of a unit, as words, and its canonical name."""
    return {words_of(str(r["spelling"])): str(r["unit"]) for r in rows("units")}


@lru_cache(maxsize=4096)
def unit_of(text: str) -> str | None:
    """Give the canonical unit when the text is a unit and nothing else.

    A capital T alone may be a short ton or a tonne: it reads as "ton".

    Examples
    --------
    >>> unit_of("lbs."), unit_of("(kN)"), unit_of("T"), unit_of("t"), unit_of("pieces")
    ('lb', 'kN', 'ton', 't', None)
    """
    text = text.strip().strip("()[]{}").strip()
    if text in ('"', "''", "″", "in."):
        return "in"
    if text in ("T", "T."):
        return "ton"
    words = tuple(w for w in words_of(text) if w)
    return unit_words().get(words) if words else None


def measures_load(unit: str) -> bool:
    """Whether a canonical unit is one of load or force; "ton" is."""
    return unit == "ton" or CANONICAL.get(unit, ("", ""))[1] in ("load", "force")


@cache
def plain_words() -> frozenset[str]:
    """Give the spellings of units that are more often other words: "in", "to", "n"."""
    return units_with(care="words") | units_with(care="last") | column_words("plain-word")


def kind_of_unit(unit: str | None) -> str | None:
    """Give what a unit measures: ``load``, ``force`` or ``length``; None without one."""
    if unit is None:
        return None
    return "load" if unit == "ton" else quantity_kind(unit)

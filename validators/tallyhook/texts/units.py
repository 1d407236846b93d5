"""Units as lists spell them, by the vocabulary: ``7,100#``, ``3,15 to``, ``1.5 ton (short)``."""

from __future__ import annotations

from functools import cache

from tallyhook.texts.scan import Scan
from tallyhook.vocabulary.context import units_with, words_for
from tallyhook.vocabulary.lexicon import phrases
from tallyhook.vocabulary.tokens import MARK

__all__ = ["AMBIGUOUS_TON", "unit_at"]


AMBIGUOUS_TON = "ton"
"""The unit of a load of which nobody says which ton it is."""

_PLAIN, _LAST, _JOINED, _WORDS = "plain", "last", "joined", "words"


@cache
def _joinable() -> frozenset[str]:
    """The spellings that a hyphen may join to a number, or that brackets may hold."""
    return units_with(care=_PLAIN) | units_with(care=_WORDS)


def _which_ton(word: str) -> str | None:
    """Give the unit that "short" or "metric" makes of a ton."""
    for use, unit in (("short ton", "short ton"), ("long ton", "long ton"), ("metric ton", "t")):
        if word in words_for(use):
            return unit
    return None


def _unfit(scan: Scan, i: int, end: int, care: str) -> bool:
    """Tell whether a spelling that needs care is no unit where it stands."""
    if care == _LAST:
        return end < len(scan.tokens) and scan.tokens[end].kind != MARK
    if care == _JOINED:
        return not scan.adjacent(i)
    return care == _WORDS and scan.means(end, "not inches")


def unit_at(scan: Scan, i: int) -> tuple[str, int] | None:
    """Read the unit that begins at token `i`: its canonical name and the token after it."""
    if i < len(scan.tokens) and scan.used[i]:
        return None
    place = scan.place.get(i)
    if place is None:
        if scan.is_mark(i, "\"'"):
            if scan.tokens[i].text == '"':
                return "in", i + 1
            if scan.is_mark(i + 1, "'") and scan.adjacent(i + 1):
                return "in", i + 2
        if scan.is_mark(i, "-(") and scan.folded(i + 1) in _joinable():
            inner = unit_at(scan, i + 1)
            if inner is not None and scan.is_mark(i, "("):
                return (inner[0], inner[1] + 1) if scan.is_mark(inner[1], ")") else None
            return inner
        return None
    hit = phrases("units", "spelling", "unit", "care").at(scan.words, place)
    if hit is None:
        return None
    unit, care = hit.value
    token = scan.tokens[i]
    end = scan.where[hit.end - 1] + 1
    word = token.fold
    if hit.end - hit.start == 1:
        capital = len(word) == 1 and token.text.isupper()
        if unit == "t" and capital:
            unit = AMBIGUOUS_TON
        elif (unit == "N" and not capital and len(word) == 1) or _unfit(scan, i, end, str(care)):
            return None
    if unit == AMBIGUOUS_TON and scan.context.system == "metric":
        unit = "t"  # sizes in mm, kilograms or kilonewtons settle it
    if unit in (AMBIGUOUS_TON, "t") and scan.is_mark(end, "(") and scan.is_mark(end + 2, ")"):
        which = _which_ton(scan.folded(end + 1))
        if which is not None:
            unit, end = which, end + 3
    if scan.is_mark(end, ".") and scan.adjacent(end) and not scan.adjacent(end + 1):
        end += 1
    if end < len(scan.tokens) and scan.is_number(end) and scan.adjacent(end):
        return None
    return unit, end

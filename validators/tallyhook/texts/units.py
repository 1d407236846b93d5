"""Units as lists spell them, by the vocabulary: ``7,100#``, ``3,15 to``, ``1.5 ton (short)``."""

from __future__ import annotations

from tallyhook.texts.scan import Scan
from tallyhook.vocabulary.lexicon import phrases
from tallyhook.vocabulary.tokens import MARK

__all__ = ["AMBIGUOUS_TON", "unit_at"]


AMBIGUOUS_TON = "ton"
"""The unit of a load of which nobody says which ton it is."""

_PLAIN_UNITS = frozenset(["in", "inch", "ton", "tons", "t", "lb", "lbs", "kg", "mm"])

_WHICH_TON = {
    **dict.fromkeys(("short", "us"), "short ton"),
    **dict.fromkeys(("long", "uk"), "long ton"),
    **dict.fromkeys(("metric", "mt", "tonne", "tonnes"), "t"),
}


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
        if scan.is_mark(i, "-(") and scan.folded(i + 1) in _PLAIN_UNITS:
            inner = unit_at(scan, i + 1)
            if inner is not None and scan.is_mark(i, "("):
                return (inner[0], inner[1] + 1) if scan.is_mark(inner[1], ")") else None
            return inner
        return None
    hit = phrases("units", "spelling", "unit").at(scan.words, place)
    if hit is None:
        return None
    unit = str(hit.value)
    token = scan.tokens[i]
    end = scan.where[hit.end - 1] + 1
    word = token.fold
    if hit.end - hit.start == 1:
        if word == "t" and token.text == "T":
            unit = AMBIGUOUS_TON
        elif (
            (word == "n" and token.text != "N")
            or (word == "to" and not (end == len(scan.tokens) or scan.tokens[end].kind == MARK))
            or (word == "in" and scan.folded(end) in ("stock", "a", "the", "box", "transit"))
            or (word == "#" and not scan.adjacent(i))
        ):
            return None
    if unit == AMBIGUOUS_TON and scan.context.system == "metric":
        unit = "t"  # sizes in mm, kilograms or kilonewtons settle it
    if unit in (AMBIGUOUS_TON, "t") and scan.is_mark(end, "(") and scan.is_mark(end + 2, ")"):
        which = _WHICH_TON.get(scan.folded(end + 1))
        if which is not None:
            unit, end = which, end + 3
    if scan.is_mark(end, ".") and scan.adjacent(end) and not scan.adjacent(end + 1):
        end += 1
    if end < len(scan.tokens) and scan.is_number(end) and scan.adjacent(end):
        return None
    return unit, end

"""Cells of a load column: one rating, the same in a second unit, or why it is none."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tallyhook.messages import say
from tallyhook.texts.numbers import number_at
from tallyhook.texts.quantities import (
    Found,
    Load,
    doubt,
    found_at,
    is_pair,
    labels_of,
    load_of,
    range_from,
    ton_note,
)
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import units_with, words_for
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD, fold

__all__ = ["LoadCell", "read_load"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCell:
    """What a cell of a load column holds: the load, the same in a second unit, or why not."""

    load: Load | None = None
    second: Load | None = None
    pair: bool = False
    note: str | None = None


def read_load(text: str, *, unit: str | None = None, context: Context | None = None) -> LoadCell:
    """Read a cell of a load column.

    Parameters
    ----------
    text : str
        The cell.
    unit : str or None
        The canonical unit of the column, or ``ton``; a unit in the cell goes before it.
    context : Context
        Decimal mark and system of the list.

    Examples
    --------
    >>> read_load("7,100", unit="lb", context=Context(decimal=".")).load.value
    7100.0
    >>> read_load("3,15 t").load.kg
    3150.0
    >>> read_load("1.12T - 15T").note
    "'1.12T - 15T' is a range, not a rating"
    """
    context = context or Context()
    text = text.strip()
    if is_blank(text):
        return LoadCell()
    shown = text
    scan = Scan(_in_thousands(text, unit), context)
    tokens = scan.tokens
    refused = _refused(scan, shown)
    if refused is not None:
        return LoadCell(note=refused)
    start = 0
    while start < len(tokens) and (
        scan.used[start]
        or tokens[start].text in ":=≤."
        or scan.means(start, "between label and load")
    ):
        start += 1
    found = found_at(scan, start, unit)
    if unit is None and found is None and range_from(scan, start, None) is not None:
        return LoadCell(note=say("'{shown}' is a range, not a rating", shown=shown))
    if found is None:
        bare = number_at(scan, start, spaces=True)
        if bare is None:
            return LoadCell(note=say("no number could be read from '{shown}'", shown=shown))
        if start == 0 and bare.end == len(tokens):
            return LoadCell(note=say("'{shown}' has no unit", shown=shown))
        return LoadCell(note=say("'{shown}' could not be read as a load", shown=shown))
    rest = found.end
    pair = is_pair(scan)
    second = None
    if scan.is_mark(rest, "(/=") and scan.is_number(rest + 1):
        second = found_at(scan, rest + 1, None)
        if second is None or second.unit == found.unit:
            return LoadCell(note=say("'{shown}' gives several numbers", shown=shown))
        rest = second.end
    elif _is_range(scan, found):
        return LoadCell(note=say("'{shown}' is a range, not a rating", shown=shown))
    for i in range(rest, len(tokens)):
        token = tokens[i]
        if token.kind == NUMBER:
            return LoadCell(note=say("'{shown}' gives several numbers", shown=shown))
        if token.kind == WORD and not (
            scan.used[i] or token.fold in words_for("one piece", "beside a load") or pair
        ):
            return LoadCell(
                note=say("'{word}' in '{shown}' is not understood", word=token.text, shown=shown)
            )
        joins = token.text == "/" and i + 1 < len(tokens)  # "lb/pair"
        if token.kind == MARK and token.text not in "*†.,()#" and not joins:
            return LoadCell(note=say("'{shown}' could not be read as a load", shown=shown))
    load = load_of(scan, found, trusted=True)
    if load is None:
        return LoadCell(pair=pair, note=doubt(scan, found))
    if load.value == 0:
        return LoadCell(note=say("'{shown}' is zero", shown=shown))
    other = load_of(scan, second, trusted=True) if second else None
    note = say("'{shown}' is for a pair", shown=shown) if pair else ton_note(load)
    return LoadCell(load=load, second=other, pair=pair, note=note)


_THOUSANDS = re.compile(r"(\d{1,3})(?:[.,](\d{1,2}))?\s?[kK](?=\s|$)(.*)")


def _in_thousands(text: str, unit: str | None) -> str:
    """Write "12k" and "7.1k lb" out: of pounds a thousand and a kip are the same."""
    found = _THOUSANDS.fullmatch(text)
    pounds = units_with(unit="lb")
    if not found or not (
        unit == "lb" if not found[3].strip() else fold(found[3].strip()) in pounds
    ):
        return text
    thousands = float(f"{found[1]}.{found[2] or 0}")
    return f"{round(thousands * 1000)}{found[3]}"


def _refused(scan: Scan, shown: str) -> str | None:
    """Claim the words that say what a load is; say why the cell holds none that can be read."""
    tokens = scan.tokens
    if any(t.kind == MARK and t.text in "$€£" for t in tokens):
        return say("'{shown}' looks like a price", shown=shown)
    inexact = any(t.kind == MARK and t.text in "<>~≈±?" for t in tokens)
    if inexact or any(t.fold in words_for("about") for t in tokens):
        return say("'{shown}' is not one exact number", shown=shown)
    for start, end, label in labels_of(scan):
        scan.claim(start, end)
        if label not in ("wll", "breaking", "proof") and start == 0:
            return say("'{shown}' is no load rating", shown=shown)
    return None


def _is_range(scan: Scan, found: Found) -> bool:
    end = found.end
    if scan.is_mark(end, "-~/,;") or scan.means(end, "range"):
        return number_at(scan, end + 1) is not None
    return False

"""Whether the comma or the point is the decimal mark, from the numbers of the list alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

import polars as pl

from tallyhook.model.layout import FORCES
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import holds_load
from tallyhook.recognising.evidence import ColumnEvidence, Columns
from tallyhook.recognising.unit_words import unit_of

__all__ = ["MarkEvidence", "decimals_of", "marks_in", "settle"]

_MARKED = re.compile(r"(?<![\w.,/'])\d++(?:[.,]\d++)+(?![\w/]*\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkEvidence:
    """How many numbers can only be read with a decimal point, and with a decimal comma.

    `firm` counts numbers that settle it by their form, `likely` those that do by their size.
    """

    firm_point: int = 0
    firm_comma: int = 0
    likely_point: int = 0
    likely_comma: int = 0

    def __add__(self, other: MarkEvidence) -> MarkEvidence:
        return MarkEvidence(
            firm_point=self.firm_point + other.firm_point,
            firm_comma=self.firm_comma + other.firm_comma,
            likely_point=self.likely_point + other.likely_point,
            likely_comma=self.likely_comma + other.likely_comma,
        )


def decimals_of(
    columns: Columns, sample: pl.DataFrame, stored: Set[str]
) -> tuple[str | None, dict[str, str]]:
    """Give the decimal mark of a list, and of each column whose own cells settle it.

    Parameters
    ----------
    columns : tuple of ColumnEvidence
        The columns with their roles and units.
    sample : frame
        Some item rows.
    stored : set of str
        Columns whose numbers were stored as numbers: their point is surely a decimal point.
    """
    by_column: dict[str, str] = {}
    total = MarkEvidence()
    for column in columns:
        if column.role == "part":
            continue
        if column.column in stored:
            by_column[column.column] = "."
            continue
        values = Counter(v for v in sample[column.column].to_list() if v)
        found = marks_in(values, _unit_of_column(column, sample))
        total += found
        own = settle(found)
        if own:
            by_column[column.column] = own
    return settle(total), by_column


def _unit_of_column(column: ColumnEvidence, sample: pl.DataFrame) -> str | None:
    """Give the unit of the bare numbers of a column, or the usual one of those beside it."""
    if not column.unit_column:
        return column.unit if column.role in FORCES else None
    units = Counter(unit_of(str(u)) for u in sample[column.unit_column].to_list() if u)
    return units.most_common(1)[0][0] if units else None


def marks_in(values: Iterable[str] | Mapping[str, int], unit: str | None = None) -> MarkEvidence:
    """Count what the numbers of some cells say about the decimal mark.

    ``3,15`` and ``1.234,5`` settle it by their form. ``4.250 kg`` settles it by its size, since no
    rated load is 4.25 kg, and ``1,120 t`` since none is 1120 t.

    Parameters
    ----------
    values : iterable of str, or mapping of str to int
        The cells, or how often each stands in the column: every row has its say.
    unit : str, optional
        Canonical unit of the bare numbers among them.
    """
    firm, likely = {".": 0, ",": 0}, {".": 0, ",": 0}
    for value, rows in Counter(values).items():
        inside = dict(holds_load(value))
        bare = value.strip()
        for match in _MARKED.finditer(value):
            text = match[0]
            mark = _by_form(text)
            if mark:
                firm[mark] += rows
                continue
            its = inside.get(text) or (unit if text == bare else None)
            mark = _by_size(text, its)
            if mark:
                likely[mark] += rows
    return MarkEvidence(
        firm_point=firm["."],
        firm_comma=firm[","],
        likely_point=likely["."],
        likely_comma=likely[","],
    )


def _other(mark: str) -> str:
    return "," if mark == "." else "."


def _by_form(text: str) -> str | None:
    marks = [c for c in text if c in ".,"]
    if len(set(marks)) == 2:
        return marks[-1] if marks.count(marks[-1]) == 1 else None
    if len(marks) > 1:
        groups = re.split(r"[.,]", text)
        return _other(marks[0]) if all(len(g) == 3 for g in groups[1:]) else None
    head, tail = re.split(r"[.,]", text)
    if len(tail) != 3 or len(head) > 3 or head.startswith("0"):
        return marks[0]
    return None


def _by_size(text: str, unit: str | None) -> str | None:
    if unit is None or len(re.findall(r"[.,]", text)) != 1:
        return None
    mark = "," if "," in text else "."
    grouped = float(re.sub(r"[.,]", "", text))
    if grouped / 1000 < thresholds.LEAST_RATED.get(unit, 0.0):
        return _other(mark)
    if grouped >= thresholds.MOST_RATED.get(unit, float("inf")):
        return mark
    return None


def settle(found: MarkEvidence) -> str | None:
    """Give the decimal mark that the evidence agrees on, or None.

    A few numbers against many (an odd cell among many rows) do not unsettle it. Form goes before
    size, unless as many rows say the other by their size: then each cell is read by itself.
    """
    by_form = _outvoting(found.firm_point, found.firm_comma)
    against = found.likely_comma if by_form == "." else found.likely_point
    if by_form and against < max(found.firm_point, found.firm_comma):
        return by_form
    return _outvoting(found.firm_point + found.likely_point, found.firm_comma + found.likely_comma)


def _outvoting(point: int, comma: int) -> str | None:
    if not point and not comma:
        return None
    if comma <= thresholds.MISTYPED_SHARE * point:
        return "."
    return "," if point <= thresholds.MISTYPED_SHARE * comma else None

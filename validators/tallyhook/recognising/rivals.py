"""Columns of one role, and what their cells say row by row: do they agree, and with the words?"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import ColumnEvidence, Columns, TableEvidence, having
from tallyhook.recognising.rough import rough_kilograms, rough_number
from tallyhook.texts.description import describe
from tallyhook.texts.grades import read_grade
from tallyhook.texts.legs import read_legs
from tallyhook.texts.scan import Context
from tallyhook.texts.sizes import read_size
from tallyhook.units import factor
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.tokens import fold

__all__ = ["Rivals", "rivals_of"]

Value = float | str | None

_SAID = ("grade", "size")
"""The roles of which the words of a row are asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rivals:
    """What the columns of one role say.

    Attributes
    ----------
    fit : mapping of str to float
        The share [1] of the filled cells of each column that can be read.
    values : mapping of str to sequence
        What the cells of each column say, row by row of the sample; None where nothing.
    said : callable
        Gives what the descriptions of the rows say; asked only where the columns do not settle it.
    """

    fit: Mapping[str, float]
    values: Mapping[str, Sequence[Value]]
    said: Callable[[], Sequence[Value]]

    def same(self, column: ColumnEvidence, other: ColumnEvidence) -> bool:
        """Whether two columns say the same in nearly all rows in which either says something."""
        pairs = list(zip(self.values[column.column], self.values[other.column], strict=True))
        either = sum(a is not None or b is not None for a, b in pairs)
        against = sum(a is not None and b is not None and not _equal(a, b) for a, b in pairs)
        return against <= thresholds.ODD_CELLS * either

    def borne_out(self, columns: Sequence[ColumnEvidence]) -> dict[str, float | None]:
        """Give the share of rows whose words say what a column says; None where no words do."""
        said = self.said()
        shares: dict[str, float | None] = {}
        for column in columns:
            pairs = [
                (a, b)
                for a, b in zip(self.values[column.column], said, strict=True)
                if a is not None and b is not None
            ]
            equal = sum(_equal(a, b) for a, b in pairs)
            shares[column.column] = equal / len(pairs) if pairs else None
        return shares


def rivals_of(
    role: str, group: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> Rivals:
    """Read the cells of some columns of one role, each distinct text once."""
    fit: dict[str, float] = {}
    values: dict[str, list[Value]] = {}
    for column in group:
        cells, read = table.values(column), _reader(role, column)
        known = {text: None if is_blank(text) else read(text.strip()) for text in set(cells)}
        filled = sum(not is_blank(text) for text in cells)
        values[column.column] = [known[text] for text in cells]
        readable = sum(value is not None for value in values[column.column])
        fit[column.column] = readable / filled if filled else 1.0
    return Rivals(fit=fit, values=values, said=partial(_said, role, columns, table))


def _said(role: str, columns: Columns, table: TableEvidence) -> list[Value]:
    """Give the grades or the sizes [mm] that the descriptions of the rows name."""
    cells = [table.values(c) for c in having(columns, "description")]
    if role not in _SAID or not cells:
        return [None] * table.sample.height
    lines = [" | ".join(row) for row in zip(*cells, strict=True)]
    known: dict[str, Value] = {}
    for line in dict.fromkeys(lines):
        read = describe(line)
        known[line] = read.grade if role == "grade" else read.size.mm if read.size else None
    return [known[line] for line in lines]


def _equal(first: Value, second: Value) -> bool:
    if isinstance(first, float) and isinstance(second, float):
        return abs(first - second) <= thresholds.SAME_LOAD * max(abs(first), abs(second))
    return first == second


# ---- what one cell says


def _reader(role: str, column: ColumnEvidence) -> Callable[[str], Value]:
    if role == "grade":
        return _grade
    if role == "size":
        return partial(_size, column.unit)
    if role == "legs":
        return _legs
    if role in ("breaking", "proof"):
        return partial(_force, column.unit)
    if role in ("angle", "design_factor"):
        return rough_number
    return fold


def _grade(text: str) -> Value:
    return read_grade(text, context=Context(system="metric")).grade


def _size(unit: str | None, text: str) -> Value:
    length = unit if unit in ("mm", "in") else None
    size = read_size(text, unit=length, inches=length == "in").size
    return size.mm if size else None


def _legs(text: str) -> Value:
    return read_legs(text).legs


def _force(unit: str | None, text: str) -> Value:
    own = rough_kilograms(text)
    number = rough_number(text)
    if own is not None or number is None or unit is None:
        return own if own is not None else number
    return number * (thresholds.ROUGH_TON if unit == "ton" else factor(unit, "kg"))

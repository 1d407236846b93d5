"""A column of units belongs to the column of loads or sizes beside it."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import ColumnEvidence, Columns, TableEvidence, replaced
from tallyhook.units import CANONICAL

__all__ = ["neighbour_with_units", "unit_columns"]


def unit_columns(columns: Columns, table: TableEvidence) -> Columns:
    """Give each column of units to the column of loads or sizes that it belongs to."""
    for name in [c.column for c in columns]:
        column = next(c for c in columns if c.column == name)
        if column.role in ("unit", "ignore") and column.cells.unit >= thresholds.UNIT_COLUMN:
            columns = replaced(columns, *_assigned(column, columns))
    return columns


def _assigned(column: ColumnEvidence, columns: Columns) -> list[ColumnEvidence]:
    """Give a column of units and its owner, as far as they change."""
    named = set(column.cells.units or {})
    kinds = {"length" if CANONICAL.get(u, ("", ""))[1] == "length" else "load" for u in named}
    few = column.cells.load_units < thresholds.LOAD_UNIT_COLUMN
    if not named or (few and kinds != {"length"}):
        return _refused(column, say("its cells are units of sale"))
    owner = _owner(column, columns, kinds)
    if owner is None:
        return _refused(column, say("its cells are units, of no column that was recognised"))
    word = column.reading.word
    if word:
        why = say("headed '{words}', units of '{heading}'", words=word, heading=owner.heading)
    else:
        why = say("its cells are the units of '{heading}'", heading=owner.heading)
    beside = say("unit in '{heading}'", heading=column.heading)
    return [
        column.decided("unit", why, unit=column.unit),
        owner.with_unit_column(column, beside),
    ]


def _refused(column: ColumnEvidence, why: str) -> list[ColumnEvidence]:
    return [column.refused(why)] if column.role == "unit" else []


def _owner(column: ColumnEvidence, columns: Columns, kinds: set[str]) -> ColumnEvidence | None:
    """Find the column that needs the units: adjacent, else the nearest to the left, then right."""
    roles = ("size",) if kinds == {"length"} else FORCES
    place = [c.column for c in columns].index(column.column)
    left = [c for c in reversed(columns[:place]) if c.role in roles]
    right = [c for c in columns[place + 1 :] if c.role in roles]
    adjacent = [c for c in columns[max(0, place - 1) : place + 2] if c.role in roles]
    for group in (adjacent[:1], left, right):
        free = [
            c
            for c in group
            if c.unit is None and c.unit_column is None and c.cells.load < thresholds.OWN_UNITS
        ]
        if free:
            return free[0]
    return None


def neighbour_with_units(column: ColumnEvidence, columns: Columns) -> ColumnEvidence | None:
    """Find the column with units of load next to a column, first on its right."""
    place = [c.column for c in columns].index(column.column)
    for step in (1, -1):
        if 0 <= place + step < len(columns):
            beside = columns[place + step].cells
            least = thresholds.LOAD_UNIT_COLUMN
            if beside.load_units >= least and beside.unit >= least:
                return columns[place + step]
    return None

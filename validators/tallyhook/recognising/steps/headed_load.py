"""A column headed only "load" or "kg" is the rating when no other column can be."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)
from tallyhook.recognising.lines import unit_around
from tallyhook.recognising.steps.unit_columns import holds_load_units
from tallyhook.recognising.unit_words import unit_of

__all__ = ["headed_load"]


def headed_load(columns: Columns, table: TableEvidence) -> Columns:
    """Take columns headed as some load for ratings, unless something speaks against it."""
    names = [
        c.column
        for c in columns
        if c.role == "ignore" and not c.named and c.reading.role(table.language) == "load"
    ]
    # what each is by itself comes first: a column that is out leaves the others less doubtful
    for why_not in (_why_not, _why_not_beside_others):
        loads = [c for c in columns if c.column in names and not c.why]
        reasons = {c.column: why_not(c, loads, columns, table) for c in loads}
        columns = replaced(
            columns, *(c.doubted(why) for c in loads if (why := reasons[c.column]) is not None)
        )
    taken = [
        c.decided(
            "wll",
            say("headed '{words}', and no other column is a load", words=c.reading.text),
            unit=c.reading.unit,
            gives=c.reading.gives,
        )
        for c in columns
        if c.column in names and not c.why
    ]
    return replaced(columns, *taken)


def _why_not(
    column: ColumnEvidence, loads: list[ColumnEvidence], columns: Columns, table: TableEvidence
) -> str | None:
    del loads
    reading, cells = column.reading, column.cells
    if having(columns, "wll"):
        return say("headed as some load; the rated load is another column")
    if cells.loadlike < thresholds.SOME_LOAD_CELLS:
        return say("headed as a load but its cells are not loads")
    if unit_of(reading.word) is not None and not reading.gives:
        return say("headed by a unit alone, which can as well be a weight")
    if not (
        reading.unit
        or cells.load >= thresholds.SOME_LOAD_WITH_UNIT
        or unit_around(columns, table)
        or any(holds_load_units(c) for c in columns)
    ):
        return say("headed as some load, without a unit")
    return None


def _why_not_beside_others(
    column: ColumnEvidence, loads: list[ColumnEvidence], columns: Columns, table: TableEvidence
) -> str | None:
    del column, columns, table
    if len({c.reading.unit for c in loads}) < len(loads):
        return say("headed as some load, as another column is")
    return None

"""A column of types that holds whole texts is the description when no other column is."""

from __future__ import annotations

from dataclasses import replace

from tallyhook.messages import say
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)

__all__ = ["missing_description"]


def missing_description(columns: Columns, table: TableEvidence) -> Columns:
    """Take columns of forms or kinds that hold whole texts for the missing description."""
    if having(columns, "description"):
        return columns
    why = say("and its cells describe the whole item")
    whole = [
        replace(c, role="description").added("description", why)
        for c in having(columns, "form", "kind")
        if not c.named and _holds_whole_texts(c)
    ]
    return replaced(columns, *whole)


def _holds_whole_texts(column: ColumnEvidence) -> bool:
    cells = column.cells
    return (
        cells.words >= thresholds.WHOLE_TEXTS
        and max(cells.long, cells.size_inside) >= thresholds.WHOLE_TEXTS_LONG
    )

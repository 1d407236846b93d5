"""A column is what the user says it is, and no other column is that."""

from __future__ import annotations

from dataclasses import replace

from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising.evidence import (
    Columns,
    TableEvidence,
    column_named,
    column_sought,
    having,
    replaced,
)
from tallyhook.recognising.unit_words import unit_of

__all__ = ["by_name"]


def by_name(columns: Columns, table: TableEvidence) -> Columns:
    """Take the role that the user gives a column by its heading or letter.

    Raises
    ------
    StockListError
        There is no such column.
    """
    for role, names in table.overrides.items():
        if role == "unit" and column_sought(columns, names.strip()) is None and unit_of(names):
            continue  # a unit by name; used where no other is known
        chosen = [
            column_named(columns, name.strip(), table).column
            for name in names.split(";")
            if name.strip()
        ]
        others = having(columns, role) if role != "ignore" else []
        another = say("another column was named as {role}", role=role)
        refused = [c.refused(another) for c in others if c.column not in chosen]
        columns = replaced(columns, *refused)
        columns = tuple(
            replace(c, refused_role=None) if c.refused_role == role else c for c in columns
        )
        decided = [
            c.decided(
                role,
                say("named as {role}", role=role),
                unit=c.reading.unit,
                gives=c.reading.gives if role in FORCES else {},
                named=True,
            )
            for c in columns
            if c.column in chosen
        ]
        columns = replaced(columns, *decided)
    return columns

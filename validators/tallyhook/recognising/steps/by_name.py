"""A column is what the user says it is, and no other column is that."""

from __future__ import annotations

from dataclasses import replace

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising.evidence import (
    Columns,
    TableEvidence,
    column_named,
    columns_headed,
    having,
    replaced,
)
from tallyhook.recognising.unit_words import unit_of

__all__ = ["by_name", "names_unit"]


def by_name(columns: Columns, table: TableEvidence) -> Columns:
    """Take the role that the user gives a column by its heading or letter.

    Raises
    ------
    StockListError
        There is no such column, or several, or it is named as two things.
    """
    seen: dict[str, str] = {}
    for role, names in table.overrides.items():
        if role == "unit" and names_unit(columns, names):
            continue  # a unit by name; used where no other is known
        chosen = [
            column_named(columns, name.strip(), table, role).column
            for name in names.split(";")
            if name.strip()
        ]
        _only_one_role(role, chosen, seen, columns, table)
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


def _only_one_role(
    role: str, chosen: list[str], seen: dict[str, str], columns: Columns, table: TableEvidence
) -> None:
    """Refuse a column that is named as two things: one of them would be lost."""
    for column in columns:
        if column.column in chosen and seen.setdefault(column.column, role) != role:
            raise StockListError(
                say(
                    "'{heading}' is named as {role} and as {other}",
                    heading=column.heading,
                    role=seen[column.column],
                    other=role,
                ),
                where=table.sheet.where,
                next_step=say("name it as one of them"),
            )


def names_unit(columns: Columns, names: str) -> bool:
    """Whether the unit that the user names is one, and no column: ``t`` is no column T."""
    return not columns_headed(columns, names) and unit_of(names) is not None

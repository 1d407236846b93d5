"""A column is what the shop's profile says it is."""

from __future__ import annotations

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising.evidence import (
    Columns,
    TableEvidence,
    column_named,
    columns_sought,
    headings_of,
    replaced,
)

__all__ = ["by_profile"]


def by_profile(columns: Columns, table: TableEvidence) -> Columns:
    """Take the role of each heading of the profile.

    Raises
    ------
    StockListError
        The list lacks a column that the profile takes ratings from, or has several of one heading.
    """
    for entry in table.profile:
        heading = str(entry["heading"])
        if columns_sought(columns, heading):
            column = column_named(columns, heading, table, entry["role"])
            decided = column.decided(
                entry["role"],
                say("the profile says so"),
                unit=entry.get("unit") or column.reading.unit,
                gives=column.reading.gives if entry["role"] in FORCES else {},
                named=True,
            )
            columns = replaced(columns, decided)
        elif entry["role"] == "wll":
            raise StockListError(
                say("the profile expects a column headed '{heading}'", heading=entry["heading"]),
                where=table.sheet.where,
                next_step=say("the headings are {headings}", headings=headings_of(columns)),
            )
    return columns

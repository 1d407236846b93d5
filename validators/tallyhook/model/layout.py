"""The result of recognising a sheet: its columns, its item rows and what was left aside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import polars as pl

from tallyhook.model.sheet import Sheet

__all__ = ["FORCES", "ROLES", "Column", "Decision", "Layout", "Tidied", "column_letter"]

ROLES = (
    "part",
    "description",
    "kind",
    "form",
    "connection",
    "size",
    "grade",
    "wll",
    "breaking",
    "proof",
    "design_factor",
    "legs",
    "angle",
    "hitch",
    "cradle",
    "latch",
    "swivel",
    "overhead",
    "material",
    "supplier",
    "scheme",
    "unit",
    "standard",
    "ignore",
)
"""What a column can be."""

FORCES = ("wll", "breaking", "proof")
"""The roles whose cells are loads or forces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One thing that was decided on a column.

    Attributes
    ----------
    what : str
        The role, or the unit, the column of units or the angle that was added to it.
    why : str
        The reason, as a clause.
    adds : bool
        Whether it adds to what was decided before; if not, it takes its place.
    step : str
        The step of recognition that decided it.
    """

    what: str
    why: str
    adds: bool = False
    step: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """What one column of a list is, and why.

    Attributes
    ----------
    column : str
        Its name in the frame, ``c3``.
    heading : str
        The heading as written, both rows of it when there are two; "column D" without one.
    role : str
        One of `ROLES`.
    unit : str or None
        Canonical unit of bare numbers in it, or "ton" when nobody says which ton.
    unit_column : str or None
        The column beside it that holds the unit of each cell.
    why : str
        The reason, as a clause.
    gives : mapping
        What the heading itself says of every cell in it: a matrix column gives its grade.
    decimal : str or None
        The decimal mark of this column, when its own cells settle it.
    refused_role : str or None
        The role that its heading says where the column is not read because its cells are something
        else; each filled cell of it counts as unread.
    decisions : tuple of Decision
        What was decided of it, in the order it was.
    """

    column: str
    heading: str
    role: str
    why: str
    unit: str | None = None
    unit_column: str | None = None
    gives: Mapping[str, str] = field(default_factory=dict)
    decimal: str | None = None
    refused_role: str | None = None
    decisions: tuple[Decision, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tidied:
    """What a tidied list keeps of the list that it was made from; nothing is interpreted again.

    `name` is the name of that list, `items` its items (`tallyhook.model.items`), `original` the
    text of each item's row, `skipped` the ``sheet``, ``row`` and ``why`` of the rows without one.
    """

    name: str
    items: pl.DataFrame = field(repr=False)
    original: pl.Series = field(repr=False)
    skipped: pl.DataFrame = field(repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A sheet with its columns recognised, and its rows sorted into items and others.

    `body` holds the rows with items: ``row``, ``c0`` .. ``cN`` and ``section`` (the headings
    that stand above the row, or null). `skipped` holds ``row`` and ``why`` for every other row.
    `tidied` is set where the sheet is a tidied list.
    """

    sheet: Sheet
    heading_row: int | None
    columns: tuple[Column, ...]
    body: pl.DataFrame = field(repr=False)
    skipped: pl.DataFrame = field(repr=False)
    decimal: str | None = None
    tidied: Tidied | None = field(default=None, repr=False)

    def having(self, role: str) -> list[Column]:
        """Give the columns of a role, from left to right."""
        return [c for c in self.columns if c.role == role]


def column_letter(column: str) -> str:
    """Give the letter a spreadsheet shows for a column.

    Examples
    --------
    >>> column_letter("c0"), column_letter("c27")
    ('A', 'AB')
    """
    number, letters = int(column[1:]) + 1, ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters

"""The interpreted item: its columns, each declared once, which every later step of the check reads.

The types of a frame of items (`ITEM_SCHEMA`), the columns and the descriptor of a tidied list, the
items of a report and the roles whose cells are read (`TEXT_ROLES`) all follow from `ITEM_COLUMNS`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import polars as pl

__all__ = [
    "CONTRADICTIONS",
    "ITEM_COLUMNS",
    "ITEM_SCHEMA",
    "KINDS",
    "REPORTED_ITEM",
    "REPORTED_UNCOMPARED",
    "TEXT_ROLES",
    "UNREAD_CELLS",
    "ItemColumn",
    "items_frame",
]

KINDS = ("chain", "hook", "grab-hook", "link", "sling", "other")

_YES_NO = ("yes", "no")


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemColumn:
    """One column of an item.

    Attributes
    ----------
    name : str
        Its name in every frame, file and report.
    dtype : type
        Its polars type; everything except ``row`` may be null.
    title : str
        What it is, in a few words, for people.
    unit : str or None
        The unit of a number, None for text.
    description : str
        What the title leaves open.
    values : tuple of str
        The only values it may have, where they are few.
    roles : tuple of str
        The columns of a list that it is read from (`tallyhook.model.layout.ROLES`).
    """

    name: str
    dtype: type[pl.DataType]
    title: str
    unit: str | None = None
    description: str = ""
    values: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()


def _text(
    name: str,
    title: str,
    description: str = "",
    *,
    values: tuple[str, ...] = (),
    roles: tuple[str, ...] = (),
) -> ItemColumn:
    return ItemColumn(
        name=name,
        dtype=pl.String,
        title=title,
        description=description,
        values=values,
        roles=roles,
    )


def _number(
    name: str, unit: str, title: str, description: str = "", *, roles: tuple[str, ...]
) -> ItemColumn:
    return ItemColumn(
        name=name, dtype=pl.Float64, unit=unit, title=title, description=description, roles=roles
    )


def _count(name: str, title: str, roles: tuple[str, ...] = ()) -> ItemColumn:
    return ItemColumn(name=name, dtype=pl.Int64, unit="1", title=title, roles=roles)


_WORDS = ("description", "kind", "form", "connection", "hitch", "material", "scheme", "standard")
"""The columns whose words say what a thing is: any of them may say what another leaves open."""

ITEM_COLUMNS = (
    _count("row", "Row of the list, as the spreadsheet numbers it"),
    _text("sheet", "Sheet of the workbook"),
    _text("part", "Part number", roles=("part",)),
    _text("supplier", "Supplier", roles=("supplier",)),
    _text(
        "item",
        "The row's own words",
        roles=("description", "kind", "connection", "form", "size", "grade", "legs"),
    ),
    _text("kind", "Kind of item", values=KINDS, roles=_WORDS),
    _text("form", "Form, as in the package hooks", roles=_WORDS),
    _text("connection", "Connection, as in the package hooks", roles=_WORDS),
    _number("size_mm", "mm", "Nominal diameter of the chain", roles=("size", "description")),
    _text("size_in", "Inch name of the size", 'Such as "3/8".', roles=("size", "description")),
    _number(
        "size_mm_to",
        "mm",
        "Larger size of a part for two sizes",
        'Such as 8 of "7/8 mm".',
        roles=("size", "description"),
    ),
    _count(
        "grade",
        "Grade, two or three digits; 40 and 60 are the European grades 4 and 6",
        roles=("grade", "description"),
    ),
    _text("scheme", "Rating scheme that the row claims", roles=(*_WORDS, "grade")),
    _text("material", "Carbon or alloy steel, for hoist hooks", roles=_WORDS),
    _count("legs", "Legs of a sling", roles=("legs", "description")),
    _text(
        "legs_range",
        "3-4 where the row says three or four legs",
        "Three and four are rated alike.",
        roles=("legs", "description"),
    ),
    _number(
        "angle_from_deg",
        "deg",
        "Smallest leg angle to the vertical",
        roles=("angle", "description"),
    ),
    _number(
        "angle_to_deg", "deg", "Largest leg angle to the vertical", roles=("angle", "description")
    ),
    _number(
        "angle_if_vertical_deg",
        "deg",
        "Largest leg angle to the vertical, if the written one counts from it",
        "Where the row does not say from which line its angle counts.",
        roles=("angle", "description"),
    ),
    _number(
        "angle_if_horizontal_deg",
        "deg",
        "The same, if the written one counts from the horizontal",
        roles=("angle", "description"),
    ),
    _text(
        "hitch",
        "Hitch that the rating is for",
        values=("straight", "choke", "basket"),
        roles=_WORDS,
    ),
    _number("wll_kg", "kg", "Working load limit", roles=("wll", "unit", "description")),
    _number(
        "wll_value", "1", "Working load limit, the number as written", roles=("wll", "description")
    ),
    _text(
        "wll_unit",
        "Unit of the number as written",
        '"ton" where nobody says which ton.',
        roles=("wll", "unit", "description"),
    ),
    _number(
        "wll_step_kg",
        "kg",
        "Worth of the last significant digit written",
        roles=("wll", "unit", "description"),
    ),
    _text(
        "wll_text",
        "Working load limit as written",
        'With its unit: "26,400 lb".',
        roles=("wll", "unit", "description"),
    ),
    _text("wll_column", "Heading that it stood under"),
    _number(
        "wll2_kg",
        "kg",
        "Working load limit in the list's second unit",
        roles=("wll", "unit", "description"),
    ),
    _text("wll2_unit", "The second unit", roles=("wll", "unit", "description")),
    _text(
        "wll2_text",
        "Working load limit in the second unit, as written",
        roles=("wll", "unit", "description"),
    ),
    _text("wll2_column", "Heading that it stood under"),
    _number("breaking_kn", "kN", "Breaking force", roles=("breaking", "unit", "description")),
    _text("breaking_text", "Breaking force as written", roles=("breaking", "description")),
    _text("breaking_column", "Heading that it stood under"),
    _number("proof_kn", "kN", "Proof force", roles=("proof", "unit", "description")),
    _text("proof_text", "Proof force as written", roles=("proof", "description")),
    _text("proof_column", "Heading that it stood under"),
    _number("design_factor", "1", "Design factor stated", roles=("design_factor", "description")),
    _text("design_factor_column", "Heading that it stood under"),
    _text(
        "cradle",
        "Grab hook with cradle",
        "Null where the row does not say.",
        values=_YES_NO,
        roles=("cradle", *_WORDS),
    ),
    _text(
        "latch",
        "Latch",
        "Null where the row does not say.",
        values=_YES_NO,
        roles=("latch", *_WORDS),
    ),
    _text(
        "swivel",
        "Swivel that turns under load (bearing) or not (positioning)",
        values=("bearing", "positioning"),
        roles=("swivel", *_WORDS),
    ),
    _text(
        "overhead",
        "Sold for overhead lifting, or expressly not",
        "Null where the row does not say.",
        values=_YES_NO,
        roles=("overhead", *_WORDS),
    ),
    _text("pair", "Rating is said to be for a pair", values=_YES_NO, roles=("wll", *_WORDS)),
    _text(
        "shortening", "What is said of shortening", 'Such as "shortening deducted".', roles=_WORDS
    ),
    _text("unread", "What could not be read, a clause a field"),
    _text(
        "contradictions",
        "What the description says otherwise than a column",
        "JSON: a list of objects with field, described and column.",
        roles=("description",),
    ),
    _text(
        "unread_cells",
        "Filled cells of its columns that could not be read",
        "JSON: a list of objects with role, column (its heading), cell (its text) and why. "
        "An item that has one agrees with no rating.",
    ),
)
"""The columns of an item, in the order in which they are written."""

ITEM_SCHEMA: dict[str, type[pl.DataType]] = {column.name: column.dtype for column in ITEM_COLUMNS}
"""Column -> polars type."""

CONTRADICTIONS = pl.List(
    pl.Struct({"field": pl.String(), "described": pl.String(), "column": pl.String()})
)
"""What the JSON of ``contradictions`` holds: what is said by the description and by the column."""

UNREAD_CELLS = pl.List(
    pl.Struct({"role": pl.String(), "column": pl.String(), "cell": pl.String(), "why": pl.String()})
)
"""What the JSON of ``unread_cells`` holds: the role and heading of each cell, its text, and why."""

REPORTED_ITEM = (
    "sheet", "row", "column", "part", "index", "rating_id", "rating_known_by", "kind", "size_mm",
    "grade", "form", "connection", "legs", "wll_kg", "outcome",
)  # fmt: skip
"""The fields that a report gives of every item, in order.

``column`` is the heading that its rating stands under where its row holds several items, ``index``
of the list's frame, ``rating_id`` that of the rating it agrees with and ``rating_known_by`` how
that is known.
"""

REPORTED_UNCOMPARED = ("sheet", "row", "column", "part", "index", "item", "why")
"""The fields that a report gives of every item that was held against no table, in order."""

_OF_ROWS_AND_RATINGS = ("part", "supplier", "wll", "unit")

TEXT_ROLES = tuple(
    dict.fromkeys(
        role for column in ITEM_COLUMNS for role in column.roles if role not in _OF_ROWS_AND_RATINGS
    )
)
"""The roles whose texts say what a thing is, whichever of several ratings of its row is meant."""


def items_frame(rows: Iterable[Mapping[str, Any]]) -> pl.DataFrame:
    """Build an items frame from partial rows; missing columns are null.

    Raises
    ------
    ValueError
        A row has a column that is not in `ITEM_COLUMNS`.
    """
    full = []
    for row in rows:
        unknown = set(row) - set(ITEM_SCHEMA)
        if unknown:
            raise ValueError(f"items have no column {sorted(unknown)[0]!r}")
        full.append(dict.fromkeys(ITEM_SCHEMA) | dict(row))
    return pl.DataFrame(full, schema=ITEM_SCHEMA, orient="row")

"""A table of ratings: columns whose headings only fix a grade, a leg count or a size."""

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
from tallyhook.recognising.headings import read_heading, unread
from tallyhook.recognising.lines import read_title, unit_around
from tallyhook.recognising.unit_words import measures_load

__all__ = ["table_of_ratings"]


def table_of_ratings(columns: Columns, table: TableEvidence) -> Columns:
    """Take columns whose headings only fix a value for ratings, where something says so."""
    ratings = having(columns, "wll")
    if ratings and all(c.named for c in ratings):
        return columns
    fixing = [
        c
        for c in columns
        if c.role == "ignore"
        and not c.named
        and c.cells.loadlike >= thresholds.MATRIX_LOADS
        and c.reading.gives
        and set(c.reading.roles.values()) <= {"load"}
    ]
    if not fixing:
        return columns
    titled, priced = _said_around(columns, table, fixing)
    with_unit = [c for c in fixing if _has_unit(c)]
    if priced and not titled and not with_unit:
        return columns
    beside = bool(ratings) and all(
        set(c.gives) & set(f.reading.gives) for c in ratings for f in fixing
    )
    chart = len(fixing) >= 2 and all(
        set(c.reading.gives) & {"legs", "angle", "hitch"} for c in fixing
    )
    if not (
        titled or len(with_unit) == len(fixing) or beside or (chart and unit_around(columns, table))
    ):
        why = say("its heading fixes a value, but nothing says that its numbers are rated loads")
        return replaced(columns, *(c.doubted(why) for c in fixing))
    corners = [_as_sizes(c) for c in ratings if _is_corner(c)]
    return replaced(columns, *map(_as_rating, fixing), *corners)


def _said_around(
    columns: Columns, table: TableEvidence, fixing: list[ColumnEvidence]
) -> tuple[bool, bool]:
    """Give whether the lines and headings around say ratings, and whether they say prices."""
    theirs = {c.column for c in fixing}
    around = [*table.titles, *([table.sheet.name] if table.sheet.name else [])]
    around += [c.heading for c in columns if c.column not in theirs]
    readings = [read_heading(t) for t in around] + [read_title(t) for t in around]
    titled = any("wll" in r.roles.values() for r in readings)
    priced = any(r.ignored in unread("of_sale") for r in readings if r.whole)
    return titled, priced


def _has_unit(column: ColumnEvidence) -> bool:
    unit = column.reading.unit
    in_cells = column.cells.load >= thresholds.MATRIX_LOADS
    return in_cells or bool(unit and measures_load(unit))


def _as_rating(column: ColumnEvidence) -> ColumnEvidence:
    fixed = ", ".join(f"{k} {v}" for k, v in column.reading.gives.items())
    unit = column.reading.unit
    return column.decided(
        "wll",
        say("one column of a table of ratings, for {fixed}", fixed=fixed),
        unit=unit if unit and measures_load(unit) else None,
        gives=column.reading.gives,
    )


def _is_corner(column: ColumnEvidence) -> bool:
    """Whether the corner cell of a table of ratings ("Size / WLL") heads sizes, and no load."""
    cells = column.cells
    return (
        not column.gives
        and not column.named
        and cells.loadlike >= thresholds.CORNER_LOADS
        and cells.size >= thresholds.CORNER_SIZES
        and cells.middle <= thresholds.CORNER_MIDDLE
    )


def _as_sizes(column: ColumnEvidence) -> ColumnEvidence:
    return column.decided("size", say("the first column of a table of ratings"))

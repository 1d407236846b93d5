"""A table without ratings is refused."""

from __future__ import annotations

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.layout import FORCES, column_letter
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    Columns,
    TableEvidence,
    having,
    headings_of,
    how_to_name,
)

__all__ = ["NoRatedLoadError", "rating_required"]


class NoRatedLoadError(StockListError):
    """No column and no description of a table can be a rated load.

    `looks_like_ratings` tells that it holds sizes or grades, and numbers that may be loads, or
    a column that is headed as a load.
    """

    looks_like_ratings: bool = False


def rating_required(columns: Columns, table: TableEvidence) -> Columns:
    """See that a column, or the descriptions, hold the ratings.

    Raises
    ------
    NoRatedLoadError
        Nothing can be a rated load.
    """
    texts = having(columns, "description", "kind", "form", "size")
    in_texts = any(c.cells.load_inside >= thresholds.RATINGS_IN_TEXTS for c in texts)
    if having(columns, "wll") or in_texts:
        return columns
    what, step = _refusal(columns, table)
    error = NoRatedLoadError(what, where=table.sheet.where, next_step=step)
    error.looks_like_ratings = _looks_like_ratings(columns, table)
    raise error


def _looks_like_ratings(columns: Columns, table: TableEvidence) -> bool:
    """Tell whether somebody must say what a table is before it may be passed over."""
    filled = [c for c in columns if c.cells.filled]
    if any(role in FORCES for c in filled for role in c.reading.roles.values()):
        return True
    unknown = [c for c in filled if c.role == "ignore" and not c.named and not c.reading.ignored]
    loads = [c for c in unknown if c.cells.loadlike >= thresholds.COULD_BE_LOADS]
    if loads and having(columns, "size", "grade"):
        return True
    # under headings that nobody knows the cells speak for themselves: 3500 lb beside Grade 80
    share = thresholds.COULD_BE_LOADS
    letters = [c for c in filled if c.role == "ignore" and c.reading.ignored == "dimension"]
    weighed = any(c.cells.load >= share for c in [*unknown, *letters])  # no dimension is in lb
    return weighed and any(max(c.cells.grade_marked, c.cells.size_marked) >= share for c in filled)


def _refusal(columns: Columns, table: TableEvidence) -> tuple[str, str]:
    """Say what is missing, and what to do next."""
    numbered = [c for c in columns if c.cells.loadlike >= thresholds.COULD_BE_LOADS]
    heading = table.heading
    if heading.row is None and numbered:
        letter = column_letter(max(numbered, key=lambda c: c.cells.middle).column)
        option = how_to_name(wll=letter, unit="kg")
        return (
            say("no heading was found and no column holds loads with a unit"),
            say("name the column of the ratings by its letter, such as {option}", option=option),
        )
    if heading.row is None:
        return (
            say("no heading was found and no column holds numbers that could be loads"),
            say("check that it is the list, with a heading such as 'WLL (kg)' over the ratings"),
        )
    headings = headings_of(columns)
    if table.frame.filter(pl.col("row") > heading.row).is_empty():
        return (
            say("there are headings ({headings}) and no rows below them", headings=headings),
            say("check whether the list was exported whole"),
        )
    return (
        say("no column can be the rated load; the headings are {headings}", headings=headings),
        say("name the column: {option}", option=how_to_name(wll="...")),
    )

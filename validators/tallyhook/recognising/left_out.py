"""Sheets and tables that are not checked: whether they look like ratings, and which are named.

A sheet is left out by its name, a table by any of its rows: ``row 40`` in a list of one sheet,
``Chain!row 40`` in a list of several.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from tallyhook.errors import StockListError
from tallyhook.model.sheet import NO_RATINGS, RATINGS, Sheet
from tallyhook.recognising.steps.rating_required import NoRatedLoadError
from tallyhook.recognising.tables import Table, tables_of_sheet

__all__ = ["names_sheet", "rows_named", "state_of", "state_of_tables"]


def names_sheet(name: str, sheet: Sheet) -> bool:
    """Whether a name is that of a sheet."""
    return sheet.name is not None and _plain(name) == _plain(sheet.name)


def rows_named(names: Iterable[str], sheet: Sheet, *, only: bool) -> dict[int, str]:
    """Give the rows of a sheet that are named, each with its name; `only` where it has no other."""
    found = {}
    for name in names:
        of, mark, row = name.rpartition("!")
        if mark and (sheet.name is None or _plain(of) != _plain(sheet.name)):
            continue
        word, _, number = _plain(row).partition(" ")
        if (mark or only) and word == "row" and number.isascii() and number.isdigit():
            found[int(number)] = name
    return found


def state_of(sheet: Sheet, recognise: Callable[[Table], object]) -> str:
    """Say whether a sheet that is not checked looks like ratings; a doubt is a yes."""
    try:
        return state_of_tables((t for _, found in tables_of_sheet(sheet) for t in found), recognise)
    except StockListError:  # too many tables to look at
        return RATINGS


def state_of_tables(tables: Iterable[Table], recognise: Callable[[Table], object]) -> str:
    """Say whether any of some tables looks like ratings, whatever a person says of its columns."""
    return RATINGS if any(_may_hold_ratings(table, recognise) for table in tables) else NO_RATINGS


def _may_hold_ratings(table: Table, recognise: Callable[[Table], object]) -> bool:
    try:
        recognise(table)
    except NoRatedLoadError as error:
        return error.looks_like_ratings
    except StockListError:
        return True
    return True


def _plain(name: str) -> str:
    return name.strip().casefold()

"""The tables of a sheet, one below the other or side by side, each with its heading."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import count

import polars as pl

from tallyhook.bounds import refuse_beyond
from tallyhook.messages import say
from tallyhook.model.sheet import Sheet
from tallyhook.recognising import thresholds
from tallyhook.recognising.heading_rows import (
    Cells,
    Heading,
    filled_of,
    find_heading,
    repeats_heading,
)
from tallyhook.recognising.headings import read_heading
from tallyhook.recognising.other_things import is_goods
from tallyhook.recognising.row_texts import is_note

__all__ = ["Table", "other_table_at", "side_by_side", "tables_of_sheet"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of a sheet: its rows, titles above it included, and its heading."""

    sheet: Sheet
    frame: pl.DataFrame = field(repr=False)
    heading: Heading


def tables_of_sheet(sheet: Sheet) -> Iterator[tuple[pl.DataFrame, list[Table]]]:
    """Give the tables of a sheet from top to bottom, those side by side together.

    With each goes the part of the sheet that they stand in.
    """
    frame = _merged_cells_written_out(sheet)
    for number in count(1):
        refuse_beyond("tables", say("{n:,} tables or more", n=number), number, where=sheet.where)
        heading = find_heading(sheet, frame)
        cut = other_table_at(sheet, frame, heading)
        part = frame if cut is None else frame.filter(pl.col("row") < cut)
        yield part, side_by_side(Table(sheet=sheet, frame=part, heading=heading))
        if cut is None:
            return
        frame = frame.filter(pl.col("row") >= cut)


def _merged_cells_written_out(sheet: Sheet) -> pl.DataFrame:
    """Write the text of cells that are merged downwards into every row they cover."""
    frame = sheet.frame
    first = int(frame["row"][0]) if frame.height else 0
    for a, c, b, d in sheet.merged:
        column = f"c{c}"
        outside = column not in frame.columns or not first <= a < first + frame.height
        if b == a or d != c or outside:
            continue
        covered = pl.col("row").is_between(a, b)
        text = pl.lit(frame[column][a - first])
        frame = frame.with_columns(
            pl.when(covered).then(text).otherwise(pl.col(column)).alias(column)
        )
    return frame


def side_by_side(table: Table) -> list[Table]:
    """Cut a table whose headings repeat from left to right into its tables."""
    heading = table.heading
    columns = [c for c in table.frame.columns if c in heading.texts]
    texts = [heading.texts[c].casefold() for c in columns]
    sizes = range(2, len(texts) // 2 + 1)
    size = next((n for n in sizes if texts == texts[:n] * (len(texts) // n)), None)
    if size is None:
        return [table]
    tables = []
    for start in range(0, len(texts), size):
        mine = columns[start : start + size]
        own = replace(
            heading,
            texts={c: heading.texts[c] for c in mine},
            readings={c: heading.readings[c] for c in mine},
        )
        tables.append(replace(table, frame=table.frame.select("row", *mine), heading=own))
    return tables


def other_table_at(sheet: Sheet, frame: pl.DataFrame, heading: Heading) -> int | None:
    """Find the row at which another table with another heading begins, if there is one.

    The titles directly above that heading belong to it.
    """
    if heading.row is None:
        return None
    cells = [c for c in frame.columns if c != "row"]
    below = frame.filter(pl.col("row") > heading.last)
    text = [pl.col(c).str.strip_chars() for c in cells]
    numbers = pl.sum_horizontal(t.str.contains(r"^[\d.,]{3,}$") for t in text)
    digits = pl.sum_horizontal(t.str.contains(r"\d") for t in text)
    filled = pl.sum_horizontal((t != "") for t in text)
    could_be = (filled >= 2) & (numbers == 0) & (digits < filled)
    worded = below.filter(could_be).head(thresholds.OTHER_HEADING_ROWS)
    for record in worded.iter_rows(named=True):
        found = filled_of(record)
        if int(record["row"]) in sheet.hidden or repeats_heading(found, heading):
            continue
        if _is_other_heading(found):
            return _with_titles(frame, int(record["row"]), heading.last)
    return None


def _is_other_heading(cells: Cells) -> bool:
    readings = [read_heading(t) for t in cells.values()]
    whole = [r for r in readings if r.whole and set(r.roles.values()) - {"load", "ignore"}]
    named = {role for r in whole for role in r.roles.values()}
    share = thresholds.OTHER_TABLE_SHARE * len(cells)
    if len(whole) >= thresholds.OTHER_TABLE_HEADINGS and len(whole) >= share:
        return bool(named & {"wll", "size", "grade", "description", "part"})
    # a matrix: one heading of sizes or grades, and then only what fixes a value
    first, *rest = readings
    corner = first.whole and set(first.roles.values()) & {"size", "grade", "wll"}
    return (
        bool(corner)
        and not is_goods(first.word)
        and len(rest) >= 2
        and all(r.gives and not r.roles for r in rest)
    )


def _with_titles(frame: pl.DataFrame, row: int, above: int) -> int:
    """Move up over blank rows and single cells: the title of the table that begins at a row."""
    cells = [c for c in frame.columns if c != "row"]
    between = frame.filter((pl.col("row") > above) & (pl.col("row") < row))
    first = row
    for record in between.tail(thresholds.TITLE_ROWS_ABOVE_TABLE).reverse().iter_rows(named=True):
        filled = [str(record[c]) for c in cells if str(record[c]).strip()]
        if len(filled) > 1 or (filled and is_note(filled[0])):
            break
        first = int(record["row"])
    return first

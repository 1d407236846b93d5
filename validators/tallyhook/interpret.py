"""The rows of a recognised list as items: what each row says a thing is and what it may carry.

Every distinct text of a column is read once, every distinct combination of texts is put together
once, and the result is joined back to the rows. The cells of named columns go before the
free-text description, which fills what they leave open; the section heading above a row and the
name of the sheet fill what the row does not say. What is doubtful stays null, and ``unread`` says
why, one clause a field.
"""

from __future__ import annotations

from typing import Any

import polars as pl

from tallyhook.interpreting.reader import Reader
from tallyhook.items import ITEM_SCHEMA, items_frame
from tallyhook.recognising.model import Column, Layout
from tallyhook.texts.load_cells import BLANK_LOADS
from tallyhook.texts.quantities import with_unit
from tallyhook.texts.units import AMBIGUOUS_TON

__all__ = ["interpret"]


def interpret(layout: Layout) -> pl.DataFrame:
    """Read the rows of a list into items.

    Parameters
    ----------
    layout : Layout
        A sheet with its columns recognised.

    Returns
    -------
    frame
        Columns of `tallyhook.items.ITEM_SCHEMA`: one item a row, or one a cell where the
        headings of several rating columns say what each stands for. Rows keep their order.
    """
    reader = Reader.of(layout)
    groups = _groups(layout)
    frames = []
    for place, (gives, columns) in enumerate(groups):
        body = layout.body
        if gives or len(groups) > 1:  # a matrix: an empty cell is no item
            blank = sorted(BLANK_LOADS)
            filled = [
                ~pl.col(c.column).fill_null("").str.strip_chars().str.to_lowercase().is_in(blank)
                for c in columns
            ]
            body = body.filter(pl.any_horizontal(filled))
        frames.append(
            _items(body, layout, reader, gives, columns).with_columns(pl.lit(place).alias("_place"))
        )
    items = pl.concat(frames).sort("row", "_place", maintain_order=True)
    return items.select(list(ITEM_SCHEMA))


def _groups(layout: Layout) -> list[tuple[dict[str, str], list[Column]]]:
    """Group the rating columns by what their headings give; each group makes one item a row."""
    groups: dict[tuple[tuple[str, str], ...], list[Column]] = {}
    for column in layout.columns:
        if column.role == "wll":
            groups.setdefault(tuple(sorted(column.gives.items())), []).append(column)
    return [(dict(gives), columns) for gives, columns in groups.items()] or [({}, [])]


def _items(
    body: pl.DataFrame,
    layout: Layout,
    reader: Reader,
    gives: dict[str, str],
    columns: list[Column],
) -> pl.DataFrame:
    """Make the items of one group of rating columns."""
    used = list(reader.text_columns)
    for column in columns:
        used += [column.column] + ([column.unit_column] if column.unit_column else [])
    used = list(dict.fromkeys(c for c in used if c in body.columns))
    section = "section" if "section" in body.columns else None
    keyed = [*used, section] if section else used
    if not keyed:
        return items_frame([]).head(0)
    body = body.with_columns(pl.col(used).fill_null(""))
    keys = body.select(keyed).unique(maintain_order=True)
    merged = [
        reader.item(
            {c: record[c] for c in used}, record[section] if section else None, gives, columns
        )
        for record in keys.iter_rows(named=True)
    ]
    merged = _settle_tons(merged)
    found = items_frame(merged).drop("row", "sheet", "part", "supplier").with_row_index("_key")
    keys = keys.with_row_index("_key")
    whole = body.join(keys, on=keyed, how="left", nulls_equal=True, maintain_order="left")
    whole = whole.with_columns(
        pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet"),
        _text_of(layout, "part").alias("part"),
        _text_of(layout, "supplier").alias("supplier"),
    ).select("row", "sheet", "part", "supplier", "_key")
    return whole.join(found, on="_key", how="left", maintain_order="left").select(list(ITEM_SCHEMA))


def _text_of(layout: Layout, role: str) -> pl.Expr:
    """Give the first filled cell of a role's columns."""
    cells = [pl.col(c.column).str.strip_chars() for c in layout.columns if c.role == role]
    filled = [pl.when(c != "").then(c) for c in cells]
    return pl.coalesce(filled) if filled else pl.lit(None, dtype=pl.String)


def _settle_tons(items: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Let the rows that give a bare-ton load in a second unit, too, settle the ton for all rows."""
    votes = {"short ton": 0, "t": 0}
    doubtful = [i for i in items if i["wll_unit"] == AMBIGUOUS_TON and i["_load"] is not None]
    for item in doubtful:
        second = item["wll2_kg"]
        if second:
            for unit in votes:
                votes[unit] += abs(with_unit(item["_load"], unit).kg / second - 1) <= 0.01
    settled = [unit for unit, count in votes.items() if count]
    if len(settled) == 1 and not (votes["short ton"] and votes["t"]):
        for item in doubtful:
            load = with_unit(item["_load"], settled[0])
            item |= {"wll_unit": load.unit}
            if item["pair"] is None:
                item |= {"wll_kg": load.kg, "wll_step_kg": load.step_kg}
                item["_notes"] = [n for n in item["_notes"] if n[0] != "wll"]
    for item in items:
        item["unread"] = (
            "; ".join(f"{f}: {n}" for f, n in dict.fromkeys(item.pop("_notes"))) or None
        )
        del item["_load"]
    return items

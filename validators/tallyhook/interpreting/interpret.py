"""The rows of a recognised list as items: what each row says a thing is and what it may carry.

Every distinct text of a column is read once, every distinct combination of texts is put together
once, and the result is joined back to the rows. The cells of named columns go before the
free-text description, which fills what they leave open; the section heading above a row and the
name of the sheet fill what the row does not say. What is doubtful stays null, and ``unread`` says
why, one clause a field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.interpreting.reader import Reader, text_columns
from tallyhook.model.distinct import OF_THE_ROW, DistinctItems
from tallyhook.model.items import items_frame
from tallyhook.model.layout import Column, Layout
from tallyhook.texts.load_cells import BLANK_LOADS
from tallyhook.texts.quantities import with_unit
from tallyhook.texts.units import AMBIGUOUS_TON

__all__ = [
    "Texts",
    "alike",
    "cells_read",
    "interpret",
    "items_of_texts",
    "join_distinct",
    "join_texts",
    "rekeyed",
    "text_of",
    "texts_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """The rows of a list or of a part of it, each distinct combination of their texts once.

    `distinct` holds, for each group of rating columns, one row a combination: the cells it is
    read from, ``section``, ``supplier`` and ``times``. `rows` holds ``row``, ``part`` and
    ``key``: the place of its combination among all of them.
    """

    rows: pl.DataFrame = field(repr=False)
    distinct: tuple[pl.DataFrame, ...] = field(repr=False)


def texts_of(body: pl.DataFrame, layout: Layout) -> Texts:
    """Gather the distinct texts of some rows of a list.

    `body` is as in the layout; a column ``times`` says how many rows each stands for.
    """
    groups = _groups(layout)
    rows: list[pl.DataFrame] = []
    distinct: list[pl.DataFrame] = []
    for place, (_, columns) in enumerate(groups):
        part = body
        if len(groups) > 1:  # a matrix: an empty cell is no item, but a row without any is one
            part = body.filter(_filled(columns) if columns else ~_filled(layout.having("wll")))
        used = [c for c in _used(layout, columns) if c in body.columns]
        part = part.select(
            pl.col("row").cast(pl.UInt32),
            text_of(layout, "part").alias("part"),
            *(pl.col(c).fill_null("") for c in used),
            (pl.col("section") if "section" in body.columns else pl.lit(None, pl.String)).alias(
                "section"
            ),
            text_of(layout, "supplier").alias("supplier"),
            (pl.col("times") if "times" in body.columns else pl.lit(1, pl.UInt32)).alias("times"),
        )
        offset = sum(frame.height for frame in distinct)
        own, key = _distinct(part.drop("row", "part"), offset)
        distinct.append(own)
        rows.append(part.select("row", "part", key, pl.lit(place, pl.UInt8).alias("_place")))
    whole = rows[0]
    if len(rows) > 1:
        whole = pl.concat(rows).sort("row", "_place", maintain_order=True)
    return Texts(rows=whole.drop("_place"), distinct=tuple(distinct))


def join_texts(parts: Sequence[Texts]) -> Texts:
    """Put the texts of several batches together; the order of the batches is that of the list.

    Raises
    ------
    StockListError
        Two different texts have one hash.
    """
    distinct, keys = join_distinct([part.distinct for part in parts])
    rows = [rekeyed(part.rows, key) for part, key in zip(parts, keys, strict=True)]
    return Texts(rows=pl.concat(rows), distinct=distinct)


def join_distinct(
    parts: Sequence[Sequence[pl.DataFrame]],
) -> tuple[tuple[pl.DataFrame, ...], list[pl.Series]]:
    """Put the distinct texts of several batches together.

    Returns
    -------
    distinct, keys
        The distinct texts, and for each batch the new key of each of its old ones (`rekeyed`).
    """
    distinct: list[pl.DataFrame] = []
    moved: list[list[pl.Series]] = [[] for _ in parts]
    for place in range(len(parts[0])):
        offset = sum(frame.height for frame in distinct)
        merged, key = _distinct(pl.concat([part[place] for part in parts]), offset)
        distinct.append(merged)
        for part, keys in zip(parts, moved, strict=True):
            height = part[place].height
            keys.append(key.head(height))
            key = key.slice(height)
    return tuple(distinct), [pl.concat(keys) for keys in moved]


def rekeyed(rows: pl.DataFrame, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of a batch the keys of the whole list."""
    return rows.with_columns(keys.gather(rows["key"]).alias("key"))


def alike(texts: pl.DataFrame) -> tuple[pl.Series, pl.Series]:
    """Tell equal rows of a frame by a 64-bit hash, each compared with the row it was taken for.

    Returns
    -------
    first, kind
        The place of the first row of each kind, in their order, and the kind of each row.

    Raises
    ------
    StockListError
        Two different rows have one hash.
    """
    hashes = texts.select(pl.struct(pl.all()).hash().alias("hash")).with_row_index("first")
    kinds = hashes.group_by("hash", maintain_order=True).agg(pl.col("first").first())
    own = kinds.with_row_index("kind")
    taken = hashes.select("hash").join(own, on="hash", how="left", maintain_order="left")
    same = (pl.col(c).eq_missing(pl.col(c).gather(taken["first"])).all() for c in texts.columns)
    if not all(texts.select(same).row(0)):
        raise StockListError(
            "two of its rows cannot be told apart",
            next_step="cut the list in two and check each part",
        )
    return kinds["first"], taken["kind"]


def _distinct(texts: pl.DataFrame, offset: int) -> tuple[pl.DataFrame, pl.Series]:
    """Give the distinct texts and the key of each text, from `offset` on."""
    first, kind = alike(texts.drop("times"))
    times = texts.group_by(kind.alias("kind")).agg(pl.col("times").sum()).sort("kind")["times"]
    merged = texts[first].with_columns(times)
    return merged, (kind + offset).cast(pl.UInt32).alias("key")


def items_of_texts(texts: Texts, layout: Layout) -> DistinctItems:
    """Read the distinct texts of a list into items."""
    # what the list's habits are follows from its distinct texts as well as from its rows
    habits = pl.concat([f.drop("supplier", "times") for f in texts.distinct], how="diagonal")
    reader = Reader.of(replace(layout, body=habits))
    frames, times, suppliers = [], [], []
    for (gives, columns), keys in zip(_groups(layout), texts.distinct, strict=True):
        # who sells a thing does not say what it is
        first, kind = alike(keys.drop("supplier", "times"))
        merged = [
            reader.item(record, record["section"], gives, columns)
            for record in keys[first].iter_rows(named=True)
        ]
        frames.append(items_frame(_settle_tons(merged))[kind])
        times.append(keys["times"])
        suppliers.append(keys["supplier"])
    items = pl.concat(frames).drop(OF_THE_ROW)
    distinct = items.with_columns(
        pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet"),
        pl.concat(suppliers).alias("supplier"),
        pl.concat(times).alias("times"),
    ).with_row_index("key")
    return DistinctItems(distinct=distinct, rows=texts.rows)


def interpret(layout: Layout) -> pl.DataFrame:
    """Read the rows of a list into items.

    Parameters
    ----------
    layout : Layout
        A sheet with its columns recognised.

    Returns
    -------
    frame
        Columns of `tallyhook.model.items.ITEM_SCHEMA`: one item a row, or one a cell where the
        headings of several rating columns say what each stands for. Rows keep their order.
    """
    return items_of_texts(texts_of(layout.body, layout), layout).items()


def cells_read(layout: Layout) -> list[str]:
    """Name the columns that an item of any group is read from, its supplier's with them."""
    used = [c for _, columns in _groups(layout) for c in _used(layout, columns)]
    return list(dict.fromkeys([*used, *(c.column for c in layout.having("supplier"))]))


def _used(layout: Layout, columns: list[Column]) -> list[str]:
    """Name the columns that an item of a group of rating columns is read from."""
    used = list(text_columns(layout))
    for column in columns:
        used += [column.column] + ([column.unit_column] if column.unit_column else [])
    return list(dict.fromkeys(used))


def _groups(layout: Layout) -> list[tuple[dict[str, str], list[Column]]]:
    """Group the rating columns by what their headings give; each group makes one item a row.

    Of a matrix, a last group without columns takes the rows that have no rating in any.
    """
    groups: dict[tuple[tuple[str, str], ...], list[Column]] = {}
    for column in layout.columns:
        if column.role == "wll":
            groups.setdefault(tuple(sorted(column.gives.items())), []).append(column)
    found = [(dict(gives), columns) for gives, columns in groups.items()]
    matrix = len(found) > 1 or any(gives for gives, _ in found)
    return found if found and not matrix else [*found, ({}, [])]


def _filled(columns: list[Column]) -> pl.Expr:
    """Whether a cell of some rating columns holds something."""
    texts = [pl.col(c.column).fill_null("").str.strip_chars() for c in columns]
    return pl.any_horizontal(~t.str.to_lowercase().is_in(sorted(BLANK_LOADS)) for t in texts)


def text_of(layout: Layout, role: str) -> pl.Expr:
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

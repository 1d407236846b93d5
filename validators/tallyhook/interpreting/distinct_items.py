"""The texts of a recognised list as items: what each row says a thing is and what it may carry.

Every distinct text of a column is read once, every distinct combination of texts is put together
once, and the result is joined back to the rows. The cells of named columns go before the
free-text description, which fills what they leave open; the section heading above a row and the
name of the sheet fill what the row does not say. What is doubtful stays null, and ``unread`` says
why, one clause a field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import polars as pl

from tallyhook.bounds import refuse_beyond
from tallyhook.interpreting.distinct_texts import DistinctTexts, number_equal_rows, rating_groups
from tallyhook.interpreting.item import Item, item_of
from tallyhook.interpreting.ratings import TONS
from tallyhook.interpreting.reader import Reader
from tallyhook.messages import say
from tallyhook.model.distinct import OF_THE_ROW, DistinctItems
from tallyhook.model.items import items_frame
from tallyhook.model.layout import Layout
from tallyhook.texts.quantities import with_unit

__all__ = ["items_of_texts"]

_SAME_TON = 0.01  # share by which a load in tons may be off the same load in a second unit


def items_of_texts(texts: DistinctTexts, layout: Layout) -> DistinctItems:
    """Read the distinct texts of a list into items.

    Raises
    ------
    StockListError
        There are more of them than the bound allows.
    """
    distinct_texts = sum(frame.height for frame in texts.combinations)
    said = say("{n:,} rows of different texts", n=distinct_texts)
    refuse_beyond("texts", said, distinct_texts, where=layout.sheet.where)
    # what the list's habits are follows from its distinct texts as well as from its rows
    habits = pl.concat([f.drop("supplier") for f in texts.combinations], how="diagonal")
    reader = Reader.of(replace(layout, body=habits))
    frames, times, suppliers = [], [], []
    for (gives, columns), keys in zip(rating_groups(layout), texts.combinations, strict=True):
        # who sells a thing does not say what it is
        first, number = number_equal_rows(keys.drop("supplier", "times"))
        items = [
            item_of(reader, record, gives, columns) for record in keys[first].iter_rows(named=True)
        ]
        _settle_tons(items)
        frames.append(items_frame(item.record() for item in items)[number])
        times.append(keys["times"])
        suppliers.append(keys["supplier"])
    distinct = (
        pl.concat(frames)
        .drop(OF_THE_ROW)
        .with_columns(
            pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet"),
            pl.concat(suppliers).alias("supplier"),
            pl.concat(times).alias("times"),
        )
    )
    return DistinctItems(distinct=distinct.with_row_index("key"), rows=texts.rows)


def _settle_tons(items: Sequence[Item]) -> None:
    """Let the rows that give a bare-ton load in a second unit, too, settle the ton for all rows."""
    bare = [item for item in items if item.in_bare_tons]
    seconds = [
        (item.rating.load, item.rating.second.kg)
        for item in bare
        if item.rating.load and item.rating.second and item.rating.second.kg and item.pair is None
    ]
    fitting = {
        unit
        for unit in TONS
        for load, second_kg in seconds
        if abs((with_unit(load, unit).kg or 0) / second_kg - 1) <= _SAME_TON
    }
    if len(fitting) == 1:
        (unit,) = fitting
        for item in bare:
            item.settle_ton(unit)

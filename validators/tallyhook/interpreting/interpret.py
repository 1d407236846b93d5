"""The texts of a recognised list as items: what each row says a thing is and what it may carry.

Every distinct text of a column is read once, every distinct combination of texts is put together
once, and the result is joined back to the rows. The cells of named columns go before the
free-text description, which fills what they leave open; the section heading above a row and the
name of the sheet fill what the row does not say. What is doubtful stays null, and ``unread`` says
why, one clause a field.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import polars as pl

from tallyhook.interpreting.distinct_texts import DistinctTexts, number_equal_rows, rating_groups
from tallyhook.interpreting.reader import Reader
from tallyhook.model.distinct import OF_THE_ROW, DistinctItems
from tallyhook.model.items import items_frame
from tallyhook.model.layout import Layout
from tallyhook.texts.quantities import with_unit
from tallyhook.texts.units import AMBIGUOUS_TON

__all__ = ["items_of_texts"]


def items_of_texts(texts: DistinctTexts, layout: Layout) -> DistinctItems:
    """Read the distinct texts of a list into items."""
    # what the list's habits are follows from its distinct texts as well as from its rows
    habits = pl.concat([f.drop("supplier", "times") for f in texts.combinations], how="diagonal")
    reader = Reader.of(replace(layout, body=habits))
    frames, times, suppliers = [], [], []
    for (gives, columns), keys in zip(rating_groups(layout), texts.combinations, strict=True):
        # who sells a thing does not say what it is
        first, number = number_equal_rows(keys.drop("supplier", "times"))
        merged = [
            reader.item(record, record["section"], gives, columns)
            for record in keys[first].iter_rows(named=True)
        ]
        frames.append(items_frame(_settle_tons(merged))[number])
        times.append(keys["times"])
        suppliers.append(keys["supplier"])
    items = pl.concat(frames).drop(OF_THE_ROW)
    distinct = items.with_columns(
        pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet"),
        pl.concat(suppliers).alias("supplier"),
        pl.concat(times).alias("times"),
    ).with_row_index("key")
    return DistinctItems(distinct=distinct, rows=texts.rows)


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

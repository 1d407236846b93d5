"""The distinct texts of one batch of a long list, found without looking at every row.

A batch of a quarter of a million rows holds some thousands of different items. What a row is,
and what it says, follows from the cells that an item is read from and from little more: whether
each other cell is filled, and whether it opens with the word of a total. Rows that are equal in
this form a group, and one of them stands for all; only the rows of groups that could be something
other than an item are looked at one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from tallyhook.interpreting.distinct_texts import (
    DistinctTexts,
    columns_read,
    distinct_texts_of,
    first_filled,
    number_equal_rows,
)
from tallyhook.recognising.habits import filled_cells
from tallyhook.recognising.layouts import Stream
from tallyhook.recognising.row_texts import opens_with_total

__all__ = ["BatchTexts", "texts_of_batch"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchTexts:
    """The texts of a batch and what became of its rows.

    `texts` are those of its items, `body` has the ``row`` of each row that holds items (one of a
    matrix may be empty all the same), `skipped` ``row`` and ``why`` of the others.
    """

    texts: DistinctTexts = field(repr=False)
    body: pl.DataFrame = field(repr=False)
    skipped: pl.DataFrame = field(repr=False)


def texts_of_batch(batch: pl.DataFrame, stream: Stream) -> BatchTexts | None:
    """Find the distinct texts of a batch: a pure function of the batch.

    The answer is None when the list must be read as a whole: a heading stands among the rows that
    the next batches depend on, or most of them hold no item, as under another heading or separator
    than that of the sample.

    Parameters
    ----------
    batch : frame
        ``row`` and ``c0`` .. ``cN``, text, or categories where a file holds texts by number.
    stream : Stream
        The columns of the list.

    Raises
    ------
    StockListError
        Two different texts have one hash.
    """
    cells = [c for c in batch.columns if c != "row"]
    read = [c for c in columns_read(stream.layout) if c in cells]
    other = [c for c in cells if c not in read]
    coded = [c for c in cells if batch.schema[c] == pl.Categorical]
    # a reader gives a batch in a dozen pieces; taking rows out of those takes four times as long
    batch = batch.with_columns(_text(c) for c in coded if c in other).rechunk()
    coded = [c for c in coded if c in read]
    first, group = number_equal_rows(_group_by(batch, read, other, coded))
    rows = batch.select(
        "row", first_filled(stream.layout, "part").alias("part"), group.alias("group")
    )
    found = _items_and_others(batch, stream, first, group, coded)
    if found is None:
        return None
    body, skipped = found
    rows = rows.filter(~pl.col("row").is_in(skipped["row"].implode()))
    if skipped.height > rows.height:
        return None

    one_of_each = body.join(rows.select("row", "group"), on="row", maintain_order="left").unique(
        "group", keep="first", maintain_order=True
    )
    counted = rows.group_by("group").agg(pl.len().alias("times"))
    one_of_each = one_of_each.join(counted, on="group", maintain_order="left").drop("row")
    texts = distinct_texts_of(one_of_each.rename({"group": "row"}), stream.layout)
    # a row of a matrix holds several items, or none
    keys = texts.rows.select(pl.col("row").alias("group"), "key")
    rows = rows.with_columns(pl.col("row").cast(pl.UInt32))
    with_keys = rows.join(keys, on="group", maintain_order="left_right")
    return BatchTexts(
        texts=DistinctTexts(rows=with_keys.drop("group"), combinations=texts.combinations),
        body=rows.select("row"),
        skipped=skipped,
    )


def _group_by(
    batch: pl.DataFrame, read: list[str], other: list[str], coded: list[str]
) -> pl.DataFrame:
    """Give what two rows must have in common for one to stand for the other."""
    first_cells = [c for c in batch.columns if c != "row"][:3]
    marks = [e.alias(f"{c} filled") for c, e in zip(other, filled_cells(batch, other), strict=True)]
    marks += [opens_with_total(c).alias(f"{c} total") for c in first_cells if c in other]
    texts_or_codes = (pl.col(c).to_physical() if c in coded else pl.col(c) for c in read)
    return batch.select(*texts_or_codes, *marks)


def _items_and_others(
    batch: pl.DataFrame, stream: Stream, first: pl.Series, group: pl.Series, coded: list[str]
) -> tuple[pl.DataFrame, pl.DataFrame] | None:
    """Give one item row of each group, and the rows of the batch that hold no item.

    `first` is the place of the first row of each group, `group` the group of each row.
    """
    texts = [_text(c) for c in coded]
    one_each = batch[first].with_columns(texts)
    doubtful = stream.doubtful(one_each) | (one_each["row"] <= stream.last_heading)
    unsure = batch.select("row").filter(doubtful.gather(group))
    one_by_one = batch.join(unsure, on="row", how="semi", maintain_order="left").with_columns(texts)
    return stream.sort(pl.concat([one_each.filter(~doubtful), one_by_one]).sort("row"))


def _text(column: str) -> pl.Expr:
    return pl.col(column).cast(pl.String).fill_null("")

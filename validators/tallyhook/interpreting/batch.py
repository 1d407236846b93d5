"""The rows of a part of a long list, each distinct combination of their cells looked at once.

A batch of a quarter of a million rows holds some thousands of different items. What a row is,
and what it says, follows from the cells that an item is read from and from little more: whether
each other cell is filled, and whether it opens with the word of a total. Rows alike in this are
one kind, and one of them stands for all; only those of kinds that could be something other than
an item are looked at row by row.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from tallyhook.interpreting.interpret import Texts, alike, cells_read, text_of, texts_of
from tallyhook.recognising.recognise import Stream
from tallyhook.recognising.rowkinds import filled_cells, opens_with_total

__all__ = ["Gathered", "gather"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The rows of a batch.

    `texts` are those of its items, `body` has the ``row`` of each row that holds items (one of a
    matrix may be empty all the same), `skipped` ``row`` and ``why`` of the others.
    """

    texts: Texts = field(repr=False)
    body: pl.DataFrame = field(repr=False)
    skipped: pl.DataFrame = field(repr=False)


def gather(batch: pl.DataFrame, stream: Stream) -> Gathered | None:
    """Gather the rows of a batch by their texts: a pure function of the batch.

    The answer is None when a heading stands among them that the next batches hang on.

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
    keyed = [c for c in cells_read(stream.layout) if c in cells]
    loose = [c for c in cells if c not in keyed]
    coded = [c for c in cells if batch.schema[c] == pl.Categorical]
    # a reader gives a batch in a dozen pieces; taking rows out of those takes four times as long
    batch = batch.with_columns(_text(c) for c in coded if c in loose).rechunk()
    coded = [c for c in coded if c in keyed]
    marks = [e.alias(f"{c} filled") for c, e in zip(loose, filled_cells(batch, loose), strict=True)]
    marks += [opens_with_total(c).alias(f"{c} total") for c in cells[:3] if c in loose]
    texts_or_codes = (pl.col(c).to_physical() if c in coded else pl.col(c) for c in keyed)
    first, kind = alike(batch.select(*texts_or_codes, *marks))
    rows = batch.select("row", text_of(stream.layout, "part").alias("part"), kind.alias("kind"))

    texts = [_text(c) for c in coded]
    one_each = batch[first].with_columns(texts)
    doubtful = stream.doubtful(one_each) | (one_each["row"] <= stream.last_heading)
    unsure = rows.filter(doubtful.gather(kind)).select("row")
    one_by_one = batch.join(unsure, on="row", how="semi", maintain_order="left").with_columns(texts)
    found = stream.sort(pl.concat([one_each.filter(~doubtful), one_by_one]).sort("row"))
    if found is None:
        return None
    body, skipped = found
    rows = rows.filter(~pl.col("row").is_in(skipped["row"].implode()))

    kinds = body.join(rows.select("row", "kind"), on="row", maintain_order="left").unique(
        "kind", keep="first", maintain_order=True
    )
    counted = rows.group_by("kind").agg(pl.len().alias("times"))
    kinds = kinds.join(counted, on="kind", maintain_order="left").drop("row")
    found_texts = texts_of(kinds.rename({"kind": "row"}), stream.layout)
    # a row of a matrix holds several items, or none
    keys = found_texts.rows.select(pl.col("row").alias("kind"), "key")
    rows = rows.with_columns(pl.col("row").cast(pl.UInt32))
    with_keys = rows.join(keys, on="kind", maintain_order="left_right")
    return Gathered(
        texts=Texts(rows=with_keys.drop("kind"), distinct=found_texts.distinct),
        body=rows.select("row"),
        skipped=skipped,
    )


def _text(column: str) -> pl.Expr:
    return pl.col(column).cast(pl.String).fill_null("")

"""A column is headed as a load or a force, and no cell of it could be read as one.

## What it checks
Columns headed as a working load limit, a breaking or a proof force of which no filled cell was read,
in two rows at least. Each column is reported once, with its rows.

## Why it matters
The list states a load for each of these rows, and none was compared with anything. Another column in
another unit may agree in every row; its rows are *not compared* all the same.

## Likely cause
An export wrote the numbers in a form of its own, or the cells hold a formula, prices, ranges or words. Export the
numbers as they are, or say with `--column` what the column is; `--column ignore="WLL (lb)"` leaves it out.

## Example
| row | kind  | grade | size_mm | wll      | unread_cells                                                                        | finding  |
| --- | ----- | ----- | ------- | -------- | ----------------------------------------------------------------------------------- | -------- |
| 2   | chain | 80    | 10      | 3,200 kg | [{"role": "wll", "column": "WLL (lb)", "cell": "$7,100", "why": "looks like a price"}]  | WLL (lb) |
| 3   | chain | 80    | 13      | 5,400 kg | [{"role": "wll", "column": "WLL (lb)", "cell": "$12,000", "why": "looks like a price"}] | WLL (lb) |
| 4   | chain | 80    | 10      | 3,200 kg |                                                                                     |          |
| 5   | chain | 80    | 10      | 3,200 kg | [{"role": "breaking", "column": "MBF", "cell": "see cert", "why": "no number"}]        |          |
| 6   | chain | 80    | 10      | 3,200 kg | [{"role": "size", "column": "Size", "cell": "?/8", "why": "no size"}]                  |          |
| 7   | chain | 80    | 13      | 5,400 kg | [{"role": "size", "column": "Size", "cell": "?/2", "why": "no size"}]                  |          |

One row says nothing of a column, and a size is no load. The `findings`, whole:

| row | observed | expected               | source | note               |
| --- | -------- | ---------------------- | ------ | ------------------ |
| 2   | $7,100   | a load that can be read |        | looks like a price |
| 3   | $12,000  | a load that can be read |        | looks like a price |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import WARNING
from tallyhook.model.layout import FORCES
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._unread import by_cell

_FEWEST = 2
"""Rows that a column must have for something to be said of the column."""


@rule(severity=WARNING, reads="items", since="0.2.0", instead_of=("cell-could-not-be-read",))
def column_of_loads_holds_none(items: pl.DataFrame) -> pl.DataFrame:
    headings = ("wll_column", "wll2_column", "breaking_column", "proof_column")
    read = pl.concat([items.select("sheet", pl.col(c).alias("unread_column")) for c in headings])
    unread = by_cell(items).filter(pl.col("unread_role").is_in(FORCES))
    none_read = unread.join(
        read.unique(), on=["sheet", "unread_column"], how="anti", nulls_equal=True,
        maintain_order="left",
    )  # fmt: skip
    several = pl.col("times").sum().over("sheet", "unread_column") >= _FEWEST
    return findings(
        none_read.filter(several),
        column=pl.col("unread_column"),
        observed=pl.col("unread_cell"),
        expected=say("a load that can be read"),
        note=pl.col("unread_why"),
    )

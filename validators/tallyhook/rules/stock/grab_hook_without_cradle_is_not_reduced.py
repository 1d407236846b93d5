"""A grab hook without cradle carries the full rating of its chain.

## What it checks
Grab hooks said to have no cradle, against the chain rating less the deduction. It speaks when
the load is the full rating that only a grab hook with cradle keeps.

## Why it matters
Without a cradle the link lies bent over the hook. A chain shortened with such a hook keeps four
fifths of its rating (common practice; another document deducts a quarter).

## Likely cause
The rating was copied from the chain table, or from the hook with cradle in the next row.

## Example
| row | kind      | form        | cradle | grade | size_mm | wll      | finding |
| --- | --------- | ----------- | ------ | ----- | ------- | -------- | ------- |
| 2   | grab-hook | cradle-grab | yes    | 80    | 10      | 3,150 kg |         |
| 3   | grab-hook | grab        | no     | 80    | 10      | 2,520 kg |         |
| 4   | grab-hook | grab        | no     | 80    | 10      | 3,150 kg | wll     |

The `findings`, whole; 5,680 lb is 7,100 lb less a fifth:

| row | observed | expected            | ratio | source               | locator                                                                                     | cause                   |
| --- | -------- | ------------------- | ----- | -------------------- | ------------------------------------------------------------------------------------------- | ----------------------- |
| 4   | 3,150 kg | 2,576 kg (5,680 lb) | 1.223 | common-practice | rating of the chain less the deduction, not rounded: articles on grab hooks without a cradle | shortening-not-deducted |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings


@rule(
    severity=DANGER,
    reads=("items", "readings"),
    since="0.1.0",
    instead_of=("rated-above-every-source", "rated-between-the-sources"),
)
def grab_hook_without_cradle_is_not_reduced(
    items: pl.DataFrame, readings: pl.DataFrame
) -> pl.DataFrame:
    full = (pl.col("reading") == "with-cradle") & (pl.col("outcome") == "agree")
    broken = items.join(readings.filter(full), on="row", how="semi", maintain_order="left")
    return rating_findings(broken, cause="shortening-not-deducted")

"""A sling is rated above the weakest part that its own words name.

## What it checks
Slings whose own words name two grades: their rating against the sling table of the lower one.

## Why it matters
An assembly carries what its weakest part carries. The better chain does not help a lesser hook.

## Likely cause
The rating was taken from the chain's grade and the hook's grade was overlooked.

## Example
| row | kind  | item                                  | size_mm | legs | wll      | finding |
| --- | ----- | ------------------------------------- | ------- | ---- | -------- | ------- |
| 2   | sling | 1-leg sling G100 chain with G80 hook  | 10      | 1    | 3,150 kg |         |
| 3   | sling | 1-leg sling G100 chain with G80 hook  | 10      | 1    | 4,000 kg | wll     |
| 4   | sling | 1-leg sling G100 chain with G100 hook | 10      | 1    | 4,000 kg |         |

The `findings`, whole:

| row | observed | expected            | ratio | source          | locator                                                                                     | note                                     |
| --- | -------- | ------------------- | ----- | --------------- | ------------------------------------------------------------------------------------------- | ---------------------------------------- |
| 3   | 4,000 kg | 3,220 kg (7,100 lb) | 1.242 | osha-sling-guidance | table 1, vertical and bridle hitches | an assembly is rated by its weakest part |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.match import MATCH_COLUMNS
from tallyhook.messages import say
from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings


@rule(
    severity=DANGER,
    reads=("items", "readings"),
    since="0.1.0",
    instead_of=("rated-above-every-source",),
)
def sling_rated_above_its_weakest_part(items: pl.DataFrame, readings: pl.DataFrame) -> pl.DataFrame:
    above = (pl.col("outcome") == "contradicted") & (pl.col("wll_kg") > pl.col("high_kg"))
    weakest = readings.filter((pl.col("reading") == "lowest-grade") & above)
    broken = items.drop(*MATCH_COLUMNS, "wll_kg").join(
        weakest, on="row", how="inner", maintain_order="left"
    )
    return rating_findings(broken, note=say("an assembly is rated by its weakest part"))

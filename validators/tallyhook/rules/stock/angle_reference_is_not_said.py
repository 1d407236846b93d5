"""A sling's rating fits one reading of its angle only, and the row does not say which is meant.

## What it checks
Slings of two and more legs with a bare angle such as 60, where neither the row nor the list says
whether it counts from the vertical or from the horizontal (above 60: between two legs or from the
horizontal), and the rating agrees with the laxer of the two readings alone.

## Why it matters
EN 818-4 counts from the vertical, American charts from the horizontal. Sixty degrees to the
vertical leave a sling of two legs the rating of one; sixty to the horizontal leave it 1.7 times
as much. Whoever reads the angle the other way lifts too much.

## Likely cause
The angle was copied without the words of its chart. Write *to the vertical* or *to the
horizontal* beside it, or name the scheme of the list with `--scheme`.

## Example
| row | kind  | grade | size_mm | legs | angle_to_deg | angle_if_vertical_deg | angle_if_horizontal_deg | wll      | finding |
| --- | ----- | ----- | ------- | ---- | ------------ | --------------------- | ----------------------- | -------- | ------- |
| 2   | sling | 80    | 10      | 2    |              | 60                    | 30                      | 3,150 kg |         |
| 3   | sling | 80    | 10      | 2    |              | 60                    | 30                      | 4,250 kg | wll     |
| 4   | sling | 80    | 10      | 2    | 45           |                       |                         | 4,250 kg |         |

The `findings`, whole:

| row | observed | expected                                                                    | source   | locator                      |
| --- | -------- | --------------------------------------------------------------------------- | -------- | ---------------------------- |
| 3   | 4,250 kg | 3,150 kg if its legs stand at 60 degrees to the vertical, 4,250 kg if at 30 | en-818-4 | table 3, working load limits |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.match import ANGLE_UNSAID, match
from tallyhook.model.finding import WARNING
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.rules import rule
from tallyhook.rules.stock import findings, plain
from tallyhook.wording import rating_text


@rule(severity=WARNING, reads=("items", "reference"), since="0.1.0")
def angle_reference_is_not_said(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    lax = items.filter(pl.col("why") == ANGLE_UNSAID)
    read = [_rated(lax, reference, line) for line in ("vertical", "horizontal")]
    both = pl.format(
        "{} if its legs stand at {} degrees to the vertical, {} if at {}",
        _texts(read[0]),
        plain("angle_if_vertical_deg"),
        _texts(read[1]),
        plain("angle_if_horizontal_deg"),
    )
    return findings(
        lax,
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected=both,
        source=pl.col("nearest_source"),
        locator=pl.col("nearest_locator"),
    )


def _rated(lax: pl.DataFrame, reference: pl.DataFrame, line: str) -> pl.DataFrame:
    """Match slings by one reading of their angle, in the scheme that the lax one fits."""
    read = lax.with_columns(
        pl.col(f"angle_if_{line}_deg").alias("angle_to_deg"),
        pl.coalesce("scheme", "nearest_scheme").alias("scheme"),
    )
    return match(read.select(list(ITEM_SCHEMA)), reference)


def _texts(matched: pl.DataFrame) -> pl.Series:
    rated = matched.select("nearest_value", "nearest_unit", "wll_unit")
    return pl.Series([rating_text(*row) for row in rated.iter_rows()], dtype=pl.String)

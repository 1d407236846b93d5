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
| 3   | 4,250 kg | 3,150 kg if its legs stand at 60 degrees to the vertical, 4,250 kg if at 30 | dguv-209-021 | section 3, chain slings of grade 8 |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings, plain
from tallyhook.wording import rating_text

_LINES = ("vertical", "horizontal")


@rule(severity=WARNING, reads=("items", "readings"), since="0.1.0")
def angle_reference_is_not_said(items: pl.DataFrame, readings: pl.DataFrame) -> pl.DataFrame:
    lax = items
    for line in _LINES:
        lax = lax.join(_read(readings, line), on="row", how="inner", maintain_order="left")
    both = say_each(
        "{by_vertical} if its legs stand at {vertical} degrees to the vertical, {by_horizontal} if at {horizontal}",
        by_vertical=_texts(lax, "vertical"),
        vertical=plain("angle_if_vertical_deg"),
        by_horizontal=_texts(lax, "horizontal"),
        horizontal=plain("angle_if_horizontal_deg"),
    )
    return findings(
        lax,
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected=both,
        source=pl.col("nearest_source"),
        locator=pl.col("nearest_locator"),
        observed_kg=pl.col("wll_kg"),
    )


def _read(readings: pl.DataFrame, line: str) -> pl.DataFrame:
    """The rating that a sling has if its angle counts from a line."""
    return readings.filter(pl.col("reading") == f"angle-to-the-{line}").select(
        "row", *(pl.col(f"nearest_{part}").alias(f"{line}_{part}") for part in ("value", "unit"))
    )


def _texts(read: pl.DataFrame, line: str) -> pl.Expr:
    rated = read.select(f"{line}_value", f"{line}_unit", "wll_unit")
    return pl.lit(pl.Series([rating_text(*row) for row in rated.iter_rows()], dtype=pl.String))

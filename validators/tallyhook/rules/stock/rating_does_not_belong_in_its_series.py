"""A rating that no table covers does not fit the other sizes of its own series.

## What it checks
Items that no general table rates but whose size and rating could be read, held against each
other: within one form, connection, grade and supplier the rating should follow the square of the
diameter. It takes the middle of rating over diameter squared (a robust fit: one wrong row does
not move it) and speaks of rows that lie more than a third off it, where at least five sizes
stand in the series and most of them fit.

## Why it matters
A maker's own form has no table to be held against, but one row in the wrong unit or at its
breaking force stands out from its neighbours all the same.

## Likely cause
The same slips as anywhere: a unit, a decimal point, a breaking force, a neighbouring row. Or a
hook that is made differently; then the maker's sheet says so.

## Example
| row | kind | form    | size_mm | wll    | finding |
| --- | ---- | ------- | ------- | ------ | ------- |
| 2   | hook | sorting | 8       | 1.25 t |         |
| 3   | hook | sorting | 10      | 2 t    |         |
| 4   | hook | sorting | 13      | 3.3 t  |         |
| 5   | hook | sorting | 16      | 20 t   | wll     |
| 6   | hook | sorting | 20      | 8 t    |         |
| 7   | hook | sorting | 22      | 9.5 t  |         |
| 8   | hook | drum    | 16      | 20 t   |         |

The `findings`, whole; over the square of the diameter the six are 19.53, 20, 19.53, 78.1, 20 and
19.63 kg, and their middle is 19.81:

| row | observed | expected                                         | ratio | source | note                                           |
| --- | -------- | ------------------------------------------------ | ----- | ------ | ---------------------------------------------- |
| 5   | 20 t     | about 5.072 t by the other 5 sizes of its series | 3.943 |        | fit: 19.8 kg per square millimetre of diameter |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.wording import load_text

FEWEST_SIZES = 5
FURTHEST = 1.35
"""Neighbouring sizes of one grade are rated 1.3 to 1.6 apart; rounding moves a rating by 6 percent."""

FITTING = 0.7
"""Share of the series that must lie on the fit before it is called one."""

_SERIES = (
    "sheet",
    "kind",
    "form",
    "connection",
    "grade",
    "supplier",
    "legs",
    "angle_to_deg",
    "hitch",
)


@rule(severity=WARNING, reads="items", since="0.1.0")
def rating_does_not_belong_in_its_series(items: pl.DataFrame) -> pl.DataFrame:
    # a size that was read only in part, such as a part for two sizes, is no point of a fit
    alone = items.filter(
        (pl.col("outcome") == "not compared")
        & pl.col("wll_kg").is_not_null()
        & (pl.col("size_mm") > 0)
        & pl.col("size_mm_to").is_null()
        & pl.col("pair").is_null()
        & (pl.col("kind") == "hook")
    ).with_columns((pl.col("wll_kg") / pl.col("size_mm") ** 2).alias("per_square"))
    series = list(_SERIES)
    fits = alone.group_by(series, maintain_order=True).agg(
        pl.col("per_square").repeat_by("times").explode().median().alias("fit"),
        pl.col("size_mm").n_unique().alias("sizes"),
    )
    placed = alone.join(
        fits.filter(pl.col("sizes") >= FEWEST_SIZES),
        on=series,
        nulls_equal=True,
        maintain_order="left",
    ).with_columns((pl.col("per_square") / pl.col("fit")).alias("off"))
    near = pl.col("off").log().abs() <= pl.lit(FURTHEST).log()
    weight = pl.col("times").cast(pl.Float64)
    fitting = (near * weight).sum().over(series) / weight.filter(near.is_not_null()).sum().over(
        series
    )
    broken = placed.filter(~near & (fitting >= FITTING))
    expected = pl.Series(
        [
            say(
                "about {load} by the other {count} sizes of its series",
                load=load_text(fit * size**2, unit or "kg"),
                count=count - 1,
            )
            for fit, size, unit, count in broken.select(
                "fit", "size_mm", "wll_unit", "sizes"
            ).iter_rows()
        ],
        dtype=pl.String,
    )
    return findings(
        broken.with_columns(expected.alias("expected")),
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected=pl.col("expected"),
        ratio=pl.col("off"),
        note=say_each(
            "fit: {load} kg per square millimetre of diameter", load=pl.col("fit").round(1)
        ),
        observed_kg=pl.col("wll_kg"),
    )

"""A hoist hook has a rating that no hook of the common series has.

## What it checks
Hoist hooks (carbon or alloy, eye, shank or swivel, no chain size), against the series of ratings
that hooks of that steel are made in by common practice. An alloy hook that is 5 t with an eye is
4.5 t with a shank or a swivel.

## Why it matters
A hoist hook is known by its rating alone. One that is not in the series is often converted,
mistyped or taken from the other steel's column. Or it is made differently, and its mark says so.

## Likely cause
Short tons read as tonnes, the other steel's column, a slip of the hand.

## Example
| row | kind | material | connection | wll   | finding |
| --- | ---- | -------- | ---------- | ----- | ------- |
| 2   | hook | carbon   | eye        | 3 t   |         |
| 3   | hook | carbon   | eye        | 3.7 t | wll     |
| 4   | hook | alloy    | shank      | 4.5 t |         |
| 5   | hook | alloy    | shank      | 5 t   | wll     |
| 6   | hook | alloy    | eye        | 5 t   |         |

The `findings`, whole:

| row | observed            | expected                                                                                             | source          | locator                                                              | note                                 |
| --- | ------------------- | ---------------------------------------------------------------------------------------------------- | --------------- | -------------------------------------------------------------------- | ------------------------------------ |
| 3   | 3.7 t, carbon steel | a rating of the series: 0.75 t, 1 t, 1.5 t, 2 t, 3 t, 5 t, 7.5 t, 10 t, 15 t, 20 t, 25 t, 30 t, 40 t | common-practice | hoist hook family table: eye, shank and swivel hooks, 2010s to 2020s | no error if the maker's mark says so |
| 5   | 5 t, alloy steel    | a rating of the series: 1 t, 1.5 t, 2 t, 3 t, 4.5 t, 7 t, 11 t, 15 t, 22 t, 30 t, 37 t, 45 t, 60 t   | common-practice | hoist hook family table: eye, shank and swivel hooks, 2010s to 2020s | no error if the maker's mark says so |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.tolerances import ROUNDING
from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._forces import turns_on_a_shank


@rule(severity=WARNING, reads=("items", "hooks.hoist-hooks"), since="0.1.0")
def hoist_hook_is_not_in_the_series(items: pl.DataFrame, series: pl.DataFrame) -> pl.DataFrame:
    hoist = items.filter(
        (pl.col("kind") == "hook")
        & pl.col("material").is_not_null()
        & pl.col("size_mm").is_null()
        & (pl.col("wll_kg") > 0)
        & pl.col("pair").is_null()
    )
    of_eye, of_shank = pl.col("wll_kg"), pl.coalesce("wll_shank_swivel_kg", "wll_kg")
    steps = (
        series.filter(pl.col("known_by") != "recalled")
        .group_by("material")
        .agg(
            of_eye.sort().alias("of_eye"),
            of_shank.sort().alias("of_shank"),
            pl.col("source").first(),
            pl.col("locator").first(),
        )
    )
    # a shank and swivel hook that is smaller than its eye hook may be of either steel by its words
    smaller = series["wll_shank_swivel_kg"].drop_nulls().to_list()
    placed = hoist.join(steps, on="material", how="inner", maintain_order="left").with_columns(
        pl.when(turns_on_a_shank()).then("of_shank").otherwise("of_eye").alias("steps")
    )
    tonnes = (pl.element() / 1000).cast(pl.String).str.strip_suffix(".0") + " t"
    known = pl.concat_list("steps", pl.lit(pl.Series([smaller], dtype=pl.List(pl.Float64))))
    off = (known / pl.col("wll_kg") - 1).list.eval(pl.element().abs()).list.min()
    return findings(
        placed.filter(off > ROUNDING),
        column=pl.col("wll_column"),
        observed=say_each("{rating}, {material} steel", rating="wll_text", material="material"),
        expected=say_each(
            "a rating of the series: {steps}",
            steps=pl.col("steps").list.eval(tonnes).list.join(", "),
        ),
        source=pl.col("source"),
        locator=pl.col("locator"),
        note=say("no error if the maker's mark says so"),
        observed_kg=pl.col("wll_kg"),
    )

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
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings, plain
from tallyhook.rules.stock._forces import turns_on_a_shank

EYE_ONLY_KG, SHANK_ONLY_KG = 5000.0, 4500.0
"""The alloy eye hook, and the shank and swivel hook of its size; hooks.hoist-hooks notes it."""


@rule(severity=WARNING, reads=("items", "hooks.hoist-hooks"), since="0.1.0")
def hoist_hook_is_not_in_the_series(items: pl.DataFrame, series: pl.DataFrame) -> pl.DataFrame:
    hoist = items.filter(
        (pl.col("kind") == "hook")
        & pl.col("material").is_not_null()
        & pl.col("size_mm").is_null()
        & (pl.col("wll_kg") > 0)
        & pl.col("pair").is_null()
    )
    steps = (
        series.filter(pl.col("known_by") != "recalled")
        .group_by("material")
        .agg(
            pl.col("wll_kg").sort().alias("steps"),
            pl.format("{} t", plain("wll_kg", per=1000))
            .sort_by("wll_kg")
            .str.join(", ")
            .alias("told"),
            pl.col("source").first(),
            pl.col("locator").first(),
        )
    )
    placed = hoist.join(steps, on="material", how="inner", maintain_order="left").with_columns(
        pl.concat_list("steps", pl.lit(SHANK_ONLY_KG)).alias("steps")
    )
    smaller = (pl.col("material") == "alloy") & turns_on_a_shank()
    placed = placed.with_columns(
        pl.when(smaller)
        .then(pl.col("steps").list.set_difference([EYE_ONLY_KG]))
        .otherwise("steps")
        .alias("steps"),
        pl.when(smaller)
        .then(pl.col("told").str.replace(", 5 t,", ", 4.5 t,"))
        .otherwise("told")
        .alias("told"),
    )
    off = (pl.col("steps") / pl.col("wll_kg") - 1).list.eval(pl.element().abs()).list.min()
    return findings(
        placed.filter(off > ROUNDING),
        column=pl.col("wll_column"),
        observed=pl.format("{}, {} steel", "wll_text", "material"),
        expected=pl.format("a rating of the series: {}", "told"),
        source=pl.col("source"),
        locator=pl.col("locator"),
        note="no error if the maker's mark says so",
    )

"""The proof force in the row is not the proof ratio times the rating.

## What it checks
Rows of chain, chain hooks and grab hooks that give a proof force and whose rating no table
contradicts. The force over the rating must be a proof ratio that some scheme gives the grade:
1.5 to 2.5.

## Why it matters
A proof force is a test at the mill and not a rating. Where the two do not fit, one of them is in
the wrong column or the wrong unit.

## Likely cause
The breaking force in the proof column, the same number in both columns, a wrong unit.

## Example
| row | kind  | grade | wll_kg | proof_kn | proof_text | outcome | finding |
| --- | ----- | ----- | ------ | -------- | ---------- | ------- | ------- |
| 2   | chain | 80    | 3150   | 78.5     | 78.5 kN    | agree   |         |
| 3   | chain | 80    | 3220.5 | 63.2     | 14,200 lb  | agree   |         |
| 4   | chain | 80    | 3150   | 126      | 126 kN     | agree   | proof   |
"""

from __future__ import annotations

import polars as pl

from tallyhook.rules import ERROR, rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock.breaking_force_and_rating_disagree import (
    BARE_GRAB_HOOK,
    ROUNDED_DOWN,
    by_system,
)
from tallyhook.units import factor

_ANY_SCHEME = (1.5, 2.5)  # the lowest and highest proof ratio of chain.grades


@rule(severity=ERROR, reads=("items", "chain.grades"), since="0.1.0")
def proof_force_and_rating_disagree(items: pl.DataFrame, grades: pl.DataFrame) -> pl.DataFrame:
    ratios = grades.group_by("grade").agg(
        pl.col("proof_to_wll").min().alias("least"),
        pl.col("proof_to_wll").max().alias("most"),
        # the document of the row's own system of sizes, where the grade has one there
        pl.col("source").filter(pl.col("scheme") == "european").first().alias("metric_source"),
        pl.col("locator").filter(pl.col("scheme") == "european").first().alias("metric_locator"),
        pl.col("source").filter(pl.col("scheme") == "us-chain").first().alias("inch_source"),
        pl.col("locator").filter(pl.col("scheme") == "us-chain").first().alias("inch_locator"),
    )
    read = items.filter(
        pl.col("kind").is_in(["chain", "hook", "grab-hook"])
        & pl.col("proof_kn").is_not_null()
        & pl.col("wll_kg").is_not_null()
        & (pl.col("outcome") != "contradicted")
    ).join(ratios, on="grade", how="left", maintain_order="left")
    deduction = pl.when(pl.col("kind") == "grab-hook").then(BARE_GRAB_HOOK).otherwise(1.0)
    read = read.with_columns(
        (pl.col("proof_kn") / (pl.col("wll_kg") * factor("kg", "kN"))).alias("found"),
        pl.col("least").fill_null(_ANY_SCHEME[0]).alias("least"),
        # one seller page proves grade 43 at twice its rating where another says 1.5
        pl.max_horizontal(pl.col("most").fill_null(_ANY_SCHEME[1]), 2.0).alias("most"),
    )
    within = pl.col("found").is_between(
        pl.col("least") * 0.97, pl.col("most") * ROUNDED_DOWN / deduction
    )
    return findings(
        read.filter(~within),
        column=pl.coalesce("proof_column", pl.lit("proof force")),
        observed=pl.format(
            "{}, {} times the rating",
            pl.coalesce("proof_text", pl.lit("")),
            pl.col("found").round(2),
        ),
        expected=pl.format("{} to {} times the rating", "least", "most"),
        ratio=pl.col("found"),
        source=by_system("source"),
        locator=by_system("locator"),
    )

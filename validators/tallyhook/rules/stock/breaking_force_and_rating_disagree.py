"""The breaking force in the row is not the design factor times the rating.

## What it checks
Rows of chain, chain hooks and grab hooks that give a breaking force and whose rating no table
contradicts. The force over the rating must be the grade's design factor, within the rounding of
the published tables; without a grade it must lie between the factors in use, 3 and 6. A rating as
high as the force, which no table confirms, is `rated-at-its-breaking-force`.

## Why it matters
Either the rating or the breaking force is wrong, and one is taken for the other most easily.

## Likely cause
The proof force in the breaking column, the same number in both columns, a force in kilograms
headed kN.

## Example
| row | kind  | grade | size_mm | wll      | breaking  | finding  |
| --- | ----- | ----- | ------- | -------- | --------- | -------- |
| 2   | chain | 80    | 10      | 3,150 kg | 126 kN    |          |
| 3   | chain | 80    | 10      | 3,150 kg | 78.5 kN   | breaking |
| 4   | chain | 43    | 10      | 5,400 lb | 16,200 lb |          |

The `findings`, whole:

| row | observed                       | expected                             | ratio | source   | locator                                             | note                                                        |
| --- | ------------------------------ | ------------------------------------ | ----- | -------- | --------------------------------------------------- | ----------------------------------------------------------- |
| 3   | 78.5 kN, 2.54 times the rating | about 4.0 times the rating: 123.6 kN | 2.541 | en-818-1 | grade symbols; temperature: EN 818-6 table, grade 8 | it fits a proof force, which is 1.5 to 2.5 times the rating |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._forces import (
    AT_ITS_BREAK,
    ROUNDED_DOWN,
    ROUNDED_UP,
    UNGRADED,
    by_system,
    over_rating,
    with_hoist_factor,
)
from tallyhook.wording import load_text, number_text

_PROOF_ROUNDED_UP = 1.04
"""Share over the highest proof ratio up to which a breaking force is taken for a proof force."""


@rule(
    severity=ERROR,
    reads=("items", "chain.grades", "hooks.hoist-hooks", "grab-hooks.deductions"),
    since="0.1.0",
)
def breaking_force_and_rating_disagree(
    items: pl.DataFrame, grades: pl.DataFrame, series: pl.DataFrame, deductions: pl.DataFrame
) -> pl.DataFrame:
    read = over_rating(items, grades, deductions, force="breaking_kn", ratio="design_factor")
    floor = pl.col("least").fill_null(UNGRADED[0]) * ROUNDED_UP
    ceiling = pl.col("most").fill_null(UNGRADED[1]) * ROUNDED_DOWN * pl.col("room")
    elsewhere = (pl.col("outcome") == "not compared") & (pl.col("found") <= AT_ITS_BREAK)
    broken = with_hoist_factor(
        read.filter(~pl.col("found").is_between(floor, ceiling) & ~elsewhere), series
    ).with_columns(pl.coalesce("least", "hoist_factor").alias("times"))
    expected = pl.Series(
        [_expected(*row) for row in broken.select("wll_kg", "times", "breaking_text").iter_rows()],
        dtype=pl.String,
    )
    proof = grades["proof_to_wll"].drop_nulls().to_list()
    least, most = min(proof), max(proof)
    return findings(
        broken.with_columns(expected.alias("expected")),
        column=pl.coalesce("breaking_column", pl.lit(say("breaking force"))),
        observed=say_each(
            "{force}, {times} times the rating",
            force=pl.coalesce("breaking_text", pl.lit("")),
            times=pl.col("found").round(2),
        ),
        expected=pl.col("expected"),
        ratio=pl.col("found"),
        note=pl.when(pl.col("found").is_between(least * ROUNDED_UP, most * _PROOF_ROUNDED_UP)).then(
            pl.lit(
                say(
                    "it fits a proof force, which is {least} to {most} times the rating",
                    least=number_text(least),
                    most=number_text(most),
                )
            )
        ),
        source=pl.coalesce("hoist_source", by_system("source")),
        locator=pl.coalesce("hoist_locator", by_system("locator")),
    )


def _expected(rating_kg: float, times: float | None, text: str | None) -> str:
    unit = _unit_of(text)
    if times is not None:
        return say(
            "about {times} times the rating: {force}",
            times=times,
            force=load_text(rating_kg * times, unit),
        )
    least, most = UNGRADED
    return say(
        "{least} to {most} times the rating: {lowest} to {highest}",
        least=number_text(least),
        most=number_text(most),
        lowest=load_text(rating_kg * least, unit),
        highest=load_text(rating_kg * most, unit),
    )


def _unit_of(text: str | None) -> str:
    """The unit that the row writes its force in; kilonewtons if it is none of ours."""
    return next((u for u in ("lb", "kg", "t") if str(text).endswith(f" {u}")), "kN")

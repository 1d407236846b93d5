"""A part is rated at the force that breaks it, and no table says otherwise.

## What it checks
Chain, chain hooks and grab hooks that no table could be held against and that give a breaking
force: a rating as high as that force, or higher.

## Why it matters
Nothing is left between the rated load and the break. Every design factor in use is 3 or more.

## Likely cause
The breaking force stands in both columns, or the two columns were taken for each other.

## Example
| row | kind | material | connection | wll   | breaking | finding |
| --- | ---- | -------- | ---------- | ----- | -------- | ------- |
| 2   | hook | carbon   | eye        | 3 t   | 15 t     |         |
| 3   | hook | carbon   | eye        | 15 t  | 15 t     | wll     |
| 4   | hook | carbon   | eye        | 7.5 t | 15 t     |         |

The `findings`, whole:

| row | observed                         | expected                                         | ratio | source          | locator                                                              | cause                 | note                                                                |
| --- | -------------------------------- | ------------------------------------------------ | ----- | --------------- | -------------------------------------------------------------------- | --------------------- | ------------------------------------------------------------------- |
| 3   | 15 t at a breaking force of 15 t | 3 t, the breaking force over the design factor 5 | 5     | common-practice | hoist hook family table: eye, shank and swivel hooks, 2010s to 2020s | breaking-force-as-wll | if it is the breaking force that is wrong, the maker's mark says so |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._forces import (
    AT_ITS_BREAK,
    UNGRADED,
    by_system,
    over_rating,
    with_hoist_factor,
)
from tallyhook.units import factor
from tallyhook.wording import load_text, number_text


@rule(
    severity=DANGER,
    reads=("items", "chain.grades", "hooks.hoist-hooks", "grab-hooks.deductions"),
    since="0.1.0",
)
def rated_at_its_breaking_force(
    items: pl.DataFrame, grades: pl.DataFrame, series: pl.DataFrame, deductions: pl.DataFrame
) -> pl.DataFrame:
    read = over_rating(items, grades, deductions, force="breaking_kn", ratio="design_factor")
    broken = with_hoist_factor(
        read.filter((pl.col("outcome") == "not compared") & (pl.col("found") <= AT_ITS_BREAK)),
        series,
    )
    forces = broken.select(
        pl.col("breaking_kn") / factor("kg", "kN"),
        pl.coalesce("hoist_factor", "least"),
        pl.coalesce("wll_unit", pl.lit("kg")),
    )
    expected = pl.Series([_expected(*row) for row in forces.iter_rows()], dtype=pl.String)
    return findings(
        broken.with_columns(expected.alias("expected")),
        column=pl.col("wll_column"),
        observed=say_each(
            "{rating} at a breaking force of {force}", rating="wll_text", force="breaking_text"
        ),
        expected=pl.col("expected"),
        ratio=pl.coalesce("hoist_factor", "least") / pl.col("found"),
        source=pl.coalesce("hoist_source", by_system("source")),
        locator=pl.coalesce("hoist_locator", by_system("locator")),
        cause="breaking-force-as-wll",
        note=say("if it is the breaking force that is wrong, the maker's mark says so"),
        observed_kg=pl.col("wll_kg"),
    )


def _expected(breaking_kg: float, design_factor: float | None, unit: str) -> str:
    if design_factor is None:
        least, most = (load_text(breaking_kg / f, unit, down=True) for f in reversed(UNGRADED))
        return say(
            "{least} to {most}, the breaking force over {highest} to {lowest}",
            least=least,
            most=most,
            highest=f"{UNGRADED[1]:g}",
            lowest=f"{UNGRADED[0]:g}",
        )
    rating = load_text(breaking_kg / design_factor, unit, down=True)
    return say(
        "{rating}, the breaking force over the design factor {factor}",
        rating=rating,
        factor=number_text(design_factor),
    )

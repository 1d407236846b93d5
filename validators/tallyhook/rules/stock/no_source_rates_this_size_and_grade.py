"""No rating table has this size in this grade.

## What it checks
Chain, chain hooks, grab hooks and chain slings whose size and grade could both be read, against
the sizes and grades that any table rates.

## Why it matters
The row cannot be checked, and a size that nobody rates is often a size or a grade typed wrong.

## Likely cause
A neighbouring size name (12 mm for 13), a grade from another family, a slip in the size column.

## Example
| row | kind  | grade | size_mm | size_mm_to | wll      | finding |
| --- | ----- | ----- | ------- | ---------- | -------- | ------- |
| 2   | chain | 80    | 10      |            | 3,200 kg |         |
| 3   | chain | 80    | 17      |            | 9,000 kg | size    |
| 4   | chain | 80    | 17      | 18         | 9,000 kg |         |

The `findings`, whole; EN 818-2 rates 16 and 18 mm:

| row | observed       | expected                                           | source |
| --- | -------------- | -------------------------------------------------- | ------ |
| 3   | 17 mm grade 80 | a size that a table rates, nearest 16 mm and 18 mm |        |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings, plain
from tallyhook.wording import size_text

COMPARED = ("chain", "hook", "grab-hook", "sling")


@rule(severity=WARNING, reads=("items", "reference", "chain.ratings"), since="0.1.0")
def no_source_rates_this_size_and_grade(
    items: pl.DataFrame, reference: pl.DataFrame, ratings: pl.DataFrame
) -> pl.DataFrame:
    read = items.filter(
        pl.col("kind").is_in(COMPARED)
        & pl.col("size_mm").is_not_null()
        & pl.col("grade").is_not_null()
    )
    rated = reference.select("kind", "grade", "size_mm").unique()
    broken = read.join(
        rated, on=["kind", "grade", "size_mm"], how="anti", maintain_order="left"
    ).join(
        rated,
        left_on=["kind", "grade", "size_mm_to"],
        right_on=["kind", "grade", "size_mm"],
        how="anti",
        maintain_order="left",
    )
    names: dict[int, dict[float, str]] = {}
    for grade, size, inch in ratings.select("grade", "size_mm", "size_in").iter_rows():
        if inch:
            names.setdefault(grade, {})[size] = inch
    grades = dict(rated.group_by("kind").agg(pl.col("grade").unique().sort()).iter_rows())
    sizes = rated.group_by("kind", "grade").agg(pl.col("size_mm").sort().alias("sizes"))
    broken = broken.join(sizes, on=["kind", "grade"], how="left", maintain_order="left")
    nearest = pl.Series(
        [
            _nearest(size, sizes_rated, inch, names.get(grade, {}), kind, grades.get(kind, []))
            for size, sizes_rated, inch, grade, kind in broken.select(
                "size_mm", "sizes", "size_in", "grade", "kind"
            ).iter_rows()
        ],
        dtype=pl.String,
    )
    return findings(
        broken.with_columns(nearest.alias("nearest")),
        column="size",
        observed=say_each("{size} mm grade {grade}", size=plain("size_mm"), grade="grade"),
        expected=pl.col("nearest"),
    )


def _nearest(
    size: float,
    sizes_rated: list[float] | None,
    inch: str | None,
    names: dict[float, str],
    kind: str,
    grades: list[int],
) -> str:
    if not sizes_rated:
        rated = ", ".join(map(str, grades))
        return say(
            "a grade that a table rates for a {kind}: {grades} (40 and 60 are European 4 and 6)",
            kind=kind,
            grades=rated,
        )
    if inch:  # an inch shop wants an inch size
        sizes_rated = [r for r in sizes_rated if r in names] or sizes_rated
    around = [
        max((r for r in sizes_rated if r < size), default=None),
        min((r for r in sizes_rated if r > size), default=None),
    ]
    shown = [size_text(r, names.get(r) if inch else None) for r in around if r is not None]
    if len(shown) == 1:
        return say("a size that a table rates, nearest {size}", size=shown[0])
    return say(
        "a size that a table rates, nearest {smaller} and {larger}",
        smaller=shown[0],
        larger=shown[1],
    )

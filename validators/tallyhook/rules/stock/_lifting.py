"""What the rules on lifting share: the grades that no scheme allows for it."""

from __future__ import annotations

import polars as pl

__all__ = ["never_for_lifting"]


def never_for_lifting(grades: pl.DataFrame) -> pl.DataFrame:
    """Give the grades that every scheme that has them keeps from lifting, with a source.

    Grade 80 of the tie-down table is alloy chain too, so one scheme alone does not decide.
    """
    return (
        grades.group_by("grade", maintain_order=True)
        .agg(
            pl.col("overhead_lifting").eq_missing(pl.lit(value=False)).all().alias("never"),
            pl.col("source").first(),
            pl.col("locator").first(),
        )
        .filter("never")
        .drop("never")
    )

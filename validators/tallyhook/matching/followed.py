"""The scheme that a list follows."""

from __future__ import annotations

import polars as pl

__all__ = ["COLUMN", "followed_schemes"]

FEWEST = 5
"""Rows that must follow a scheme before a list is said to follow it (judgement)."""

SHARE = 0.75
"""Share of the rows that agree with one scheme only (judgement)."""

COLUMN = ("sheet", "wll_column", "metric")
"""What parts the rows that follow a scheme of their own: `followed_schemes` says what they are."""


def followed_schemes(items: pl.DataFrame) -> pl.DataFrame:
    """Give the scheme that most rows of a rating column agree with.

    Parameters
    ----------
    items : frame
        Matched items, with ``times``, the rows of the list that hold each.

    Returns
    -------
    frame
        ``sheet``, ``wll_column``, ``metric`` (whether sizes are named in millimetres: such rows
        and those in inches may follow different schemes) and ``followed``.
    """
    votes = (
        items.filter(pl.col("agrees_with").is_not_null())
        .with_columns(pl.col("size_in").is_null().alias("metric"))
        .group_by(*COLUMN, "agrees_with", maintain_order=True)
        .agg(pl.col("times").sum().alias("votes"))
    )
    return (
        votes.with_columns((pl.col("votes") / pl.col("votes").sum().over(*COLUMN)).alias("share"))
        .filter((pl.col("votes") >= FEWEST) & (pl.col("share") >= SHARE))
        .select(*COLUMN, pl.col("agrees_with").alias("followed"))
    )

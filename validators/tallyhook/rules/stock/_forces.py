"""What the rules on breaking and proof forces share: the force of a row over its rating."""

from __future__ import annotations

import polars as pl

from tallyhook.texts.item_words import named_swivel
from tallyhook.units import factor

__all__ = [
    "AT_ITS_BREAK",
    "ROUNDED_DOWN",
    "ROUNDED_UP",
    "UNGRADED",
    "by_system",
    "over_rating",
    "turns_on_a_shank",
    "with_hoist_factor",
]

UNGRADED = (3.0, 6.0)
"""The lowest and highest design factors of gear that a list may hold without a grade (judgement:
hooks.design-factors has 3 for grade 43 and 5 for hooks; 8 and 10 are for people under the load)."""

AT_ITS_BREAK = 1.03
"""Breaking force over rating up to which the two are one number, by rounding."""

ROUNDED_DOWN = 1.08
"""European ratings are rounded down to preferred numbers, up to 6 percent, and forces rounded."""

ROUNDED_UP = 0.97
"""Share of a force over a rating that the rounding of both takes off."""


def over_rating(
    items: pl.DataFrame, grades: pl.DataFrame, deductions: pl.DataFrame, *, force: str, ratio: str
) -> pl.DataFrame:
    """Give the rows with a force and a rating that no table contradicts.

    Parameters
    ----------
    items : frame
        Matched items.
    grades : frame
        ``chain.grades``.
    deductions : frame
        ``grab-hooks.deductions``: a bare grab hook breaks at its chain's force all the same.
    force : str
        ``breaking_kn`` or ``proof_kn``.
    ratio : str
        The column of `grades` that says how many times the rating that force is.

    Returns
    -------
    frame
        The items with ``found`` (the force over the rating), ``least`` and ``most`` (the lowest
        and highest ratio that a scheme gives the grade), ``room`` (1, or more for a grab hook:
        by the deepest deduction that its rating may have) and the sources of both systems for `by_system`.
    """
    system = {"metric": "european", "inch": "us-chain"}
    of_grade = grades.group_by("grade").agg(
        pl.col(ratio).min().alias("least"),
        pl.col(ratio).max().alias("most"),
        *(
            pl.col(column).filter(pl.col("scheme") == scheme).first().alias(f"{name}_{column}")
            for name, scheme in system.items()
            for column in ("source", "locator")
        ),
    )
    read = items.filter(
        pl.col("kind").is_in(["chain", "hook", "grab-hook"])
        & pl.col(force).is_not_null()
        & pl.col("wll_kg").is_not_null()
        & (pl.col("outcome") != "contradicted")
    ).join(of_grade, on="grade", how="left", maintain_order="left")
    kept = 1 - max(deductions["deduction_percent"].drop_nulls().to_list()) / 100
    deducted = pl.when(pl.col("kind") == "grab-hook").then(1 / kept).otherwise(1.0)
    return read.with_columns(
        (pl.col(force) / (pl.col("wll_kg") * factor("kg", "kN"))).alias("found"),
        deducted.alias("room"),
    )


def by_system(column: str) -> pl.Expr:
    """The source of the system in which the row names its sizes, or of the other one."""
    metric, inch = pl.col(f"metric_{column}"), pl.col(f"inch_{column}")
    return (
        pl.when(pl.col("size_in").is_null())
        .then(pl.coalesce(metric, inch))
        .otherwise(pl.coalesce(inch, metric))
    )


def turns_on_a_shank() -> pl.Expr:
    """Whether a hoist hook is one of the shank and swivel hooks, which are not rated as eye hooks.

    A plain swivel is in the row's words only: whether it turns under load is not said.
    """
    unsaid = pl.col("connection").is_null() & pl.col("size_mm").is_null()
    by_words = named_swivel(where=unsaid)
    by_connection = pl.col("connection").is_in(["shank", "positioning-swivel", "bearing-swivel"])
    return by_connection.fill_null(by_words)


def with_hoist_factor(read: pl.DataFrame, series: pl.DataFrame) -> pl.DataFrame:
    """Add the highest design factor of hoist hooks alike (``hoist_factor``) and its source."""
    of_hooks = (
        series.filter(pl.col("known_by") != "recalled")
        .group_by("material")
        .agg(
            pl.col("design_factor_eye").max(),
            pl.col("design_factor_shank_swivel").max(),
            pl.col("source").first().alias("hoist_source"),
            pl.col("locator").first().alias("hoist_locator"),
        )
    )
    hoist = pl.when(
        pl.col("size_mm").is_null() & pl.col("grade").is_null() & (pl.col("kind") == "hook")
    ).then("material")
    return (
        read.join(of_hooks, left_on=hoist, right_on="material", how="left", maintain_order="left")
        .with_columns(
            pl.when(turns_on_a_shank())
            .then("design_factor_shank_swivel")
            .otherwise("design_factor_eye")
            .alias("hoist_factor")
        )
        .with_columns(
            # of a factor that is not listed there is no source
            pl.when(pl.col("hoist_factor").is_not_null()).then(column).alias(column)
            for column in ("hoist_source", "hoist_locator")
        )
    )

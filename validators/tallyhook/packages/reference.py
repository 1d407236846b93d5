"""Every rating that a stock row can be held against, in one table.

The rating packages keep each rating where its document has it. The check needs them side by
side: one row for each published number, in the unit it is printed in, with the range of loads
that the row's own units agree on (7,100 lb and 3,200 kg are printed as one rating).
"""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.descriptors import NAMED, PRACTICE
from tallyhook.packages.package import Package, built_in_packages
from tallyhook.units import factor

__all__ = ["REFERENCE_SCHEMA", "reference_ratings", "with_rank"]

REFERENCE_SCHEMA: dict[str, type[pl.DataType]] = {
    "rating_id": pl.String,  # null where a maker's package names none
    "kind": pl.String,
    "scheme": pl.String,
    "grade": pl.Int64,
    "size_mm": pl.Float64,
    "cradle": pl.String,  # yes or no for grab hooks, else null
    "legs": pl.Int64,  # slings only
    "angle_from_deg": pl.Float64,
    "angle_to_deg": pl.Float64,
    "value": pl.Float64,  # as printed
    "unit": pl.String,  # lb or kg
    "value_kg": pl.Float64,
    "low_kg": pl.Float64,  # the printed units of one rating need not convert exactly:
    "high_kg": pl.Float64,  # any load between them is that rating
    "known_by": pl.String,
    "outranked": pl.Boolean,  # practice, where a named document of its scheme rates the thing
    "source": pl.String,
    "locator": pl.String,
    "deduction": pl.String,  # grab hooks: which document's deduction
    "deduction_percent": pl.Float64,  # grab hooks: what it takes off the chain's rating
    "shown": pl.Boolean,  # whether it is the deduction that an expected rating is shown with
    "counts_as": pl.String,  # the scheme whose rating it is: the tie-down law prints another's
    "note": pl.String,  # what the table says beside it
}


_THING = (
    "kind", "scheme", "grade", "size_mm", "cradle", "legs", "angle_from_deg", "angle_to_deg",
)  # fmt: skip
_NEEDED = ("scheme", "grade", "size_mm", "wll_kg", "source", "locator", "known_by")
_LOADS = ("grade", "size_mm", "wll_kg", "wll_lb", "legs", "angle_from_deg", "angle_to_deg")


def reference_ratings(packages: Mapping[str, Package]) -> pl.DataFrame:
    """Give the ratings of chain, chain hooks, grab hooks and chain slings.

    Parameters
    ----------
    packages : mapping of str to Package
        The built-in packages and any maker's packages beside them. A maker's package is used for
        every table that it shares with a built-in one.

    Returns
    -------
    frame
        Columns as `REFERENCE_SCHEMA`, loads in [kg], angles in [deg to the vertical]. Recalled
        ratings are in it, marked so; the match never lets one pass a row.

    Raises
    ------
    PackageError
        A table that is shared lacks a column of a rating, or has words where numbers belong.
    """
    parts = [
        _both_units(_usable(package, table).with_columns(pl.lit(kind).alias("kind")), kind)
        for package in packages.values()
        for table, kind in _tables_of(package)
    ]
    empty = pl.DataFrame(schema=REFERENCE_SCHEMA)
    rated = _with_deductions(pl.concat([empty, *parts], how="vertical"), packages)
    return with_rank(rated, packages)


def _with_deductions(ratings: pl.DataFrame, packages: Mapping[str, Package]) -> pl.DataFrame:
    """Say of each rating what was deducted, and whose scheme's it is."""
    have = packages if {"grab-hooks", "vocabulary"} <= packages.keys() else built_in_packages()
    deductions = have["grab-hooks"]["deductions"].select("deduction", "deduction_percent", "shown")
    schemes = have["vocabulary"]["schemes"].select("scheme", "counts_as")
    bare = ratings.drop("deduction_percent", "shown", "counts_as")
    return (
        bare.join(deductions, on="deduction", how="left", maintain_order="left")
        .join(schemes, on="scheme", how="left", maintain_order="left")
        .with_columns(
            pl.col("deduction_percent").cast(pl.Float64),
            pl.col("shown").fill_null(value=True),
            pl.coalesce("counts_as", "scheme").alias("counts_as"),
        )
        .select(REFERENCE_SCHEMA.keys())
    )


def with_rank(ratings: pl.DataFrame, packages: Mapping[str, Package]) -> pl.DataFrame:
    """Say of practice where a named document of its scheme rates the same thing.

    A document is of a scheme whose part of the world is its own: an Australian standard rates no
    European hook. The pounds and the kilograms of one rating do not outrank each other.
    """
    have = packages if {"sources", "vocabulary"} <= packages.keys() else built_in_packages()
    family = pl.col("family")
    documents = have["sources"]["documents"].select("source", family)
    schemes = have["vocabulary"]["schemes"].select("scheme", family.alias("scheme_family"))
    named = (
        ratings.filter(pl.col("known_by").is_in(NAMED))
        .join(documents, on="source")
        .join(schemes, on="scheme")
        .filter(family == pl.col("scheme_family"))
        .select(*_THING, pl.col("rating_id").alias("of"))
    )
    practice = ratings.with_row_index("line").filter(pl.col("known_by") == PRACTICE)
    above = practice.join(named, on=_THING, nulls_equal=True).filter(
        pl.col("of").ne_missing(pl.col("rating_id"))
    )
    outranked = pl.int_range(pl.len()).is_in(above["line"].unique().implode())
    return ratings.with_columns(outranked.alias("outranked"))


def _tables_of(package: Package) -> list[tuple[str, str]]:
    named = {"ratings": "chain", "slings": "sling", "chain-hooks": "hook"}
    found = [(t, k) for t, k in named.items() if t in package.tables]
    if "ratings" in package.tables and "cradle" in package["ratings"].columns:
        return [("ratings", "grab-hook")]
    return found


def _usable(package: Package, table: str) -> pl.DataFrame:
    frame = package[table]
    lacking = [c for c in _NEEDED if c not in frame.columns]
    words = [c for c in _LOADS if c in frame.columns and not frame.schema[c].is_numeric()]
    flags = [c for c in ("cradle",) if c in frame.columns and frame.schema[c] != pl.Boolean]
    if lacking or words or flags:
        column = (lacking or words or flags)[0]
        raise PackageError(
            say("the column {column} is missing", column=column)
            if lacking
            else say("the column {column} is not one of numbers", column=column)
            if words
            else say("the column {column} is not one of true and false", column=column),
            where=str(package.folder / package.resources[table].path),
            next_step=say("keep the columns and types of the built-in table of this name"),
        )
    # what a list says of a flag is kept as words, since it may say neither
    said = {True: "yes", False: "no"}
    return frame.with_columns(
        pl.col(c).replace_strict(said, return_dtype=pl.String) for c in ("cradle",) if c in frame
    )


def _both_units(table: pl.DataFrame, kind: str) -> pl.DataFrame:
    """Turn one row with pounds and kilograms into one row a printed number."""
    pound = factor("lb", "kg")
    wanted = {c: t for c, t in REFERENCE_SCHEMA.items() if c not in table.columns}
    table = table.with_columns(pl.lit(None, dtype=t).alias(c) for c, t in wanted.items())
    if "wll_kg_known_by" not in table.columns:
        table = table.with_columns(pl.lit("").alias("wll_kg_known_by"))
    if "wll_lb" not in table.columns:
        table = table.with_columns(pl.lit(None, dtype=pl.Float64).alias("wll_lb"))
    kg_known = (
        pl.when(pl.col("wll_kg_known_by") != "").then("wll_kg_known_by").otherwise("known_by")
    )
    # a recalled kilogram figure must not widen what a published pound figure allows
    kg = pl.when(kg_known != "recalled").then("wll_kg")
    lb_kg = pl.when(pl.col("known_by") != "recalled").then(pl.col("wll_lb") * pound)
    table = table.with_columns(
        pl.min_horizontal(kg, lb_kg).alias("low_kg"),
        pl.max_horizontal(kg, lb_kg).alias("high_kg"),
        kg_known.alias("kg_known_by"),
    )
    pounds = table.filter(pl.col("wll_lb").is_not_null()).with_columns(
        pl.col("wll_lb").alias("value"),
        pl.lit("lb").alias("unit"),
        (pl.col("wll_lb") * pound).alias("value_kg"),
    )
    kilos = table.filter(pl.col("wll_kg").is_not_null()).with_columns(
        pl.col("wll_kg").cast(pl.Float64).alias("value"),
        pl.lit("kg").alias("unit"),
        pl.col("wll_kg").cast(pl.Float64).alias("value_kg"),
        pl.col("kg_known_by").alias("known_by"),
    )
    both = pl.concat([pounds, kilos]).with_columns(
        pl.col("low_kg").fill_null(pl.col("value_kg")),
        pl.col("high_kg").fill_null(pl.col("value_kg")),
    )
    typed = both.select(pl.col(c).cast(t) for c, t in REFERENCE_SCHEMA.items())
    return typed.with_columns(pl.col("rating_id").replace("", None))

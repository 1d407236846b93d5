"""Rules on stock lists; each takes the matched items as a polars frame and returns findings as one."""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import STOCK_FINDING_SCHEMA
from tallyhook.vocabulary.grade_marks import grade_words
from tallyhook.wording import rating_text

__all__ = ["findings", "item_words", "plain", "rating_findings"]

_OF_THE_RUN = ("rule", "severity", "file", "confidence", "other_causes", "rows", "decision")
_FOUND = {c: t for c, t in STOCK_FINDING_SCHEMA.items() if c not in _OF_THE_RUN}


def plain(column: str, *, per: int = 1) -> pl.Expr:
    """A number column, or so many parts of it, as text without a trailing ``.0``."""
    return (pl.col(column) / per).cast(pl.String).str.strip_suffix(".0")


def item_words() -> pl.Expr:
    """Give the row's own words, with size and grade where they stand in other columns: ``item``."""
    in_inches = pl.col("size_in").is_not_null()
    bare = pl.when(in_inches).then("size_in").otherwise(plain("size_mm"))
    size = pl.format("{} {}", bare, pl.when(in_inches).then(pl.lit("in")).otherwise(pl.lit("mm")))
    said = pl.col("item").fill_null("").str.contains(bare, literal=True)
    marked = rf"(?i){grade_words(least=5)}|\b(?:{grade_words()})[ .:-]{{0,2}}\d"
    graded = pl.col("item").fill_null("").str.contains(marked)
    grade = pl.when(~graded).then(say_each("grade {grade}", grade="grade"))
    return pl.concat_str(
        ["item", pl.when(~said).then(size), grade], separator=", ", ignore_nulls=True
    ).alias("item")


def findings(
    broken: pl.DataFrame,
    *,
    column: str | pl.Expr,
    observed: pl.Expr | str,
    expected: pl.Expr | str,
    ratio: pl.Expr | None = None,
    source: pl.Expr | str | None = None,
    locator: pl.Expr | str | None = None,
    cause: str | None = None,
    note: pl.Expr | str | None = None,
    observed_kg: pl.Expr | None = None,
    expected_kg: pl.Expr | None = None,
    rating_id: pl.Expr | None = None,
) -> pl.DataFrame:
    """Turn the items that break a rule into findings.

    `column` is the list's own heading; plain strings are taken as literal text, expressions read
    the item's columns. `observed_kg` [kg] is given where what was observed is one load;
    `expected_kg` [kg] and `rating_id` where what is expected is one published rating.
    """
    if broken.is_empty():  # most rules find nothing in most lists
        return pl.DataFrame(schema=_FOUND)

    def as_expr(value: pl.Expr | str | None) -> pl.Expr:
        return value if isinstance(value, pl.Expr) else pl.lit(value, dtype=pl.String)

    def number(value: pl.Expr | None, name: str) -> pl.Expr:
        return (value if value is not None else pl.lit(None, dtype=pl.Float64)).alias(name)

    fields = {
        "column": column, "observed": observed, "expected": expected, "source": source,
        "locator": locator, "cause": cause, "note": note,
        "rating_id": rating_id,
    }  # fmt: skip
    return broken.select(
        "sheet",
        "row",
        "part",
        item_words(),
        number(ratio, "ratio"),
        number(observed_kg, "observed_kg"),
        number(expected_kg, "expected_kg"),
        **{field: as_expr(value) for field, value in fields.items()},
    ).select(list(_FOUND))


def rating_findings(
    broken: pl.DataFrame, *, cause: str | None = None, note: pl.Expr | str | None = None
) -> pl.DataFrame:
    """Findings for loads that no source gives: expected is the nearest published rating."""
    # Python per row: only contradicted rows come here, and the words follow each row's own unit
    expected = pl.Series(
        "expected",
        [
            rating_text(*row)
            for row in broken.select("nearest_value", "nearest_unit", "wll_unit").iter_rows()
        ],
        dtype=pl.String,
    )
    return findings(
        broken.with_columns(expected),
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected=pl.col("expected"),
        ratio=pl.col("off_by"),
        source=pl.col("nearest_source"),
        locator=pl.col("nearest_locator"),
        cause=cause,
        note=note,
        observed_kg=pl.col("wll_kg"),
        expected_kg=pl.col("nearest_kg"),
        rating_id=pl.col("nearest_rating_id"),
    )

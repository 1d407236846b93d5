"""Ditto marks: the cell above, repeated."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import polars as pl

from tallyhook.vocabulary.lexicon import rows

__all__ = ["holds_ditto", "without_ditto"]


@cache
def _marks() -> tuple[str, ...]:
    return tuple(str(row["mark"]) for row in rows("ditto-marks"))


def _is_ditto(column: str) -> pl.Expr:
    return pl.col(column).str.strip_chars().str.to_lowercase().is_in(_marks())


def holds_ditto(frame: pl.DataFrame, columns: Sequence[str]) -> bool:
    """Whether a ditto mark stands in some columns; empty cells may be null."""
    marks = [_is_ditto(c).fill_null(value=False) for c in columns]
    return bool(marks) and bool(frame.select(pl.any_horizontal(marks).any()).item())


def without_ditto(body: pl.DataFrame, columns: Sequence[str]) -> pl.DataFrame:
    """Write out ditto marks: the cell above, repeated."""
    marks = {c: _is_ditto(c) for c in columns}
    present = body.select(mark.any() for mark in marks.values()).row(0) if marks else ()
    return body.with_columns(
        pl.when(mark).then(None).otherwise(pl.col(c)).forward_fill().fill_null("").alias(c)
        for (c, mark), found in zip(marks.items(), present, strict=True)
        if found
    )

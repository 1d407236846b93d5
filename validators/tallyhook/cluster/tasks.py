"""What is done where a part of a feed lies: pure functions of the part."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from tallyhook.cluster.feed import Feed, Part, not_parquet
from tallyhook.explaining.places import compared_rows, placed
from tallyhook.interpreting.batch import texts_of_batch
from tallyhook.interpreting.distinct_texts import DistinctTexts, with_joined_keys
from tallyhook.reading.batches import parquet_rows
from tallyhook.reading.records import parquet_errors
from tallyhook.rules.contradictions import contradicting_hashes

__all__ = [
    "PartTexts",
    "combinations_of_part",
    "hashes_of_share",
    "rows_of_part",
    "rows_with_findings",
    "texts_of_part",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTexts:
    """The distinct texts of a part, and how many of its rows hold no item, by the reason."""

    texts: DistinctTexts = field(repr=False)
    passed_over: dict[str, int]


def texts_of_part(feed: Feed, part: Part) -> PartTexts | None:
    """Find the distinct texts of a part; None when it is not plain."""
    stream = feed.stream()
    try:
        frame = parquet_rows(Path(part.path), feed.sample, part.offset, part.count, part.first)
    except parquet_errors() as error:
        raise not_parquet(part.path, error) from None
    found = texts_of_batch(frame, stream)
    if found is None:
        return None
    passed_over = dict(found.skipped["why"].value_counts().iter_rows())
    return PartTexts(texts=found.texts, passed_over=passed_over)


def combinations_of_part(
    found: PartTexts | None,
) -> tuple[tuple[pl.DataFrame, ...], dict[str, int]] | None:
    """Give what goes to the machine that asks: the combinations, and the rows passed over."""
    return None if found is None else (found.texts.combinations, found.passed_over)


def rows_of_part(found: PartTexts, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of a part their keys in the whole feed."""
    return with_joined_keys(found.texts.rows, keys)


def hashes_of_share(*summaries: pl.DataFrame) -> pl.Series:
    """Give the hashes of a share that stand with different items anywhere in the feed."""
    return contradicting_hashes(summaries)


def rows_with_findings(
    rows: pl.DataFrame, columns: pl.DataFrame, keys: pl.Series
) -> tuple[pl.DataFrame, pl.DataFrame, dict[int, int]]:
    """Give the rows whose items have findings, their places, and how many rows were compared.

    A row of a matrix holds several items, and what is wrong with one may strike the others.
    """
    touched = rows.filter(pl.col("key").is_in(keys.implode()))["row"].unique()
    found = rows.filter(pl.col("row").is_in(touched.implode()))
    return found, placed(rows, columns, keys), compared_rows(rows, columns)

"""The rows of a list whose value of a column, a part number, stands with two different items.

Such rules are the only ones that hold rows against each other. Values are compared by their
hashes, in shares, so that the rows may lie in parts on many machines: each part is summarised by
`keys_by_hash`, the summaries of a share are put together by `contradicting_hashes`, and
`rows_with_hashes` gives the rows of a part.
"""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

__all__ = ["contradicting_hashes", "contradicting_rows", "keys_by_hash", "rows_with_hashes"]

_SHARES = 8  # that the values of a long list are compared in, to spare memory


def contradicting_rows(rows: pl.DataFrame, column: str) -> pl.DataFrame:
    """Give the rows whose value of a column stands with two different items.

    Examples
    --------
    >>> rows = pl.DataFrame({"row": [2, 3, 4], "part": ["A", "B", "A"], "key": [0, 0, 1]})
    >>> contradicting_rows(rows, "part")["row"].to_list()
    [2, 4]
    """
    # most values stand once: sorting the hashes is the cheapest way to know
    ordered = rows[column].drop_nulls().hash().sort()
    repeated = ordered.filter(ordered == ordered.shift()).unique()
    rows = rows_with_hashes(rows, column, repeated)
    if rows.is_empty():
        return rows
    shares = (keys_by_hash(rows, column, share, _SHARES) for share in range(_SHARES))
    hashes = [contradicting_hashes([summary]) for summary in shares]
    return rows_with_hashes(rows, column, pl.concat(hashes))


def rows_with_hashes(rows: pl.DataFrame, column: str, hashes: pl.Series) -> pl.DataFrame:
    """Give the rows whose value of a column has one of those hashes."""
    if hashes.is_empty():
        return rows.clear()
    return rows.filter(pl.col(column).hash().is_in(hashes.implode()))


def keys_by_hash(rows: pl.DataFrame, column: str, share: int, shares: int) -> pl.DataFrame:
    """Summarise one share of the values of a column: the lowest and highest item key of each hash.

    Rows without a value are left out.
    """
    return (
        rows.lazy()
        .filter(pl.col(column).is_not_null())
        .select("key", pl.col(column).hash().alias("hash"))
        .filter(pl.col("hash") % shares == share)
        .group_by("hash")
        .agg(pl.col("key").min().alias("lowest"), pl.col("key").max().alias("highest"))
        .collect()
    )


def contradicting_hashes(summaries: Sequence[pl.DataFrame]) -> pl.Series:
    """Give the hashes that stand with two different items, from all summaries of a share."""
    merged = pl.concat(summaries)
    if len(summaries) > 1:
        merged = merged.group_by("hash").agg(pl.col("lowest").min(), pl.col("highest").max())
    return merged.filter(pl.col("lowest") != pl.col("highest"))["hash"]

"""The check of a feed of Parquet files on a cluster of machines, with dask.distributed futures.

A part of a file is read, and its distinct texts are found, where it lies. Only the distinct texts
come to the machine that asks; they are interpreted there, and `tallyhook.checking.conclude` goes
the rest of the way, as for any list. The rows stay on the cluster (`RowsOnCluster`): part numbers
are compared there by their hashes, and only rows with findings come back. Every task is a pure
function of a part of a file, so that the work of a machine that is lost is done again by another.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

import polars as pl

from tallyhook.checking import RatingBasis, conclude, rating_basis
from tallyhook.cluster import tasks
from tallyhook.cluster.feed import Feed, feed_of, not_plain
from tallyhook.cluster.output import FeedReport, folder_cannot_be_made, write_feed
from tallyhook.cluster.workers import cluster_at, cluster_here
from tallyhook.explaining.places import columns_of
from tallyhook.extras import need
from tallyhook.interpreting.distinct_items import items_of_texts
from tallyhook.interpreting.distinct_texts import DistinctTexts, join_combinations
from tallyhook.messages import say
from tallyhook.model.distinct import ROW_SCHEMA
from tallyhook.model.options import ListOptions
from tallyhook.recognising.layouts import Stream
from tallyhook.rules.contradictions import keys_by_hash, rows_with_hashes

__all__ = ["check_feed", "run_feed"]

_SHARES = 8  # tasks that the comparison of part numbers is cut into


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cluster:
    """A cluster and the run that its tasks belong to."""

    client: Any
    run: str = field(default_factory=lambda: uuid4().hex[:8])

    def submit(self, task: str, number: int, function: Any, *args: Any) -> Any:
        """Hand a task to the cluster; `number` makes its key different from others of its name."""
        key = f"tallyhook-{task}-{self.run}-{number}"
        return self.client.submit(function, *args, key=key, pure=False)

    def of_each(self, task: str, futures: Sequence[Any], function: Any, *args: Any) -> list[Any]:
        """Hand in a task for each part; the part goes before the other arguments."""
        return [self.submit(task, n, function, each, *args) for n, each in enumerate(futures)]


@dataclass(slots=True, kw_only=True)
class RowsOnCluster:
    """The rows of a feed, a future for each part (`tallyhook.checking.ListRows`)."""

    cluster: _Cluster
    futures: Sequence[Any]
    fetched: list[pl.DataFrame] = field(default_factory=lambda: [_no_rows()])

    def contradicting(self, column: str) -> pl.DataFrame:
        """Give the rows whose value of a column stands with two different items."""
        hashes = []
        for share in range(_SHARES):
            summaries = self.cluster.of_each(
                f"keys-{column}-{share}", self.futures, keys_by_hash, column, share, _SHARES
            )
            task = f"hashes-{column}"
            hashes.append(self.cluster.submit(task, share, tasks.hashes_of_share, *summaries))
        wanted = pl.concat(self.cluster.client.gather(hashes))
        rows = self.cluster.of_each(
            f"contradicting-{column}", self.futures, rows_with_hashes, column, wanted
        )
        found: pl.DataFrame = pl.concat([_no_rows(), *self.cluster.client.gather(rows)])
        self.fetched.append(found)
        return found

    def with_findings(
        self, keys: pl.Series, distinct: pl.DataFrame
    ) -> tuple[pl.DataFrame, pl.DataFrame]:
        """Give the rows that hold items of those keys, and all that `contradicting` gave."""
        found = self.cluster.client.gather(
            self.cluster.of_each(
                "findings", self.futures, tasks.rows_with_findings, columns_of(distinct), keys
            )
        )
        rows = pl.concat([*self.fetched, *(rows for rows, _, _ in found)], how="diagonal")
        rows = rows.unique(["row", "key"], keep="first").sort("row", "key")
        return rows, _places_in_feed([(places, counts) for _, places, counts in found])


def _no_rows() -> pl.DataFrame:
    return pl.DataFrame(schema=ROW_SCHEMA)


def _places_in_feed(parts: Sequence[tuple[pl.DataFrame, dict[int, int]]]) -> pl.DataFrame:
    """Count the places of compared rows on through all parts."""
    before: dict[int, int] = {}
    moved = []
    for places, compared in parts:
        offsets = pl.col("_column").replace_strict(before, default=0, return_dtype=pl.Int64)
        moved.append(places.with_columns(pl.col("_place") + offsets))
        for column, count in compared.items():
            before[column] = before.get(column, 0) + count
    return pl.concat(moved)


def check_feed(feed: Feed, client: Any, basis: RatingBasis | None = None) -> FeedReport:
    """Check a feed with the futures of a cluster.

    Parameters
    ----------
    feed : Feed
        From `tallyhook.cluster.feed.feed_of`.
    client : distributed.Client
        Its workers must see the files under the same paths and have tallyhook installed.
    basis : RatingBasis, optional
        What the feed is held against; the built-in packages otherwise.

    Raises
    ------
    StockListError
        The feed is not one plain table.
    """
    basis = basis or rating_basis(ListOptions())
    cluster, stream = _Cluster(client=client), feed.stream()
    texts = [
        cluster.submit("texts", n, tasks.texts_of_part, feed, p) for n, p in enumerate(feed.parts)
    ]
    found = client.gather(cluster.of_each("combinations", texts, tasks.combinations_of_part))
    if not found or any(part is None for part in found):
        raise not_plain(feed.pattern)
    combinations, keys = join_combinations([part for part, _ in found])
    if not all(stream.plain(each) for each in combinations):
        raise not_plain(feed.pattern)
    rows = [
        cluster.submit("rows", n, tasks.rows_of_part, each, keys[n]) for n, each in enumerate(texts)
    ]
    distinct_texts = DistinctTexts(rows=_no_rows(), combinations=combinations)
    report = conclude(
        items_of_texts(distinct_texts, stream.layout).distinct,
        RowsOnCluster(cluster=cluster, futures=rows),
        basis,
        layouts=(stream.layout,),
        file=feed.pattern,
    )
    return FeedReport(
        feed=feed,
        findings=report.told_findings,
        counts=report.counts,
        crashed=report.crashed,
        packages=report.packages,
        passed_over=_passed_over(stream, [counts for _, counts in found]),
    )


def _passed_over(stream: Stream, parts: Sequence[Mapping[str, int]]) -> dict[str, int]:
    """Count the rows of a feed that hold no item, by the reason; the heading is one row of it."""
    head = stream.layout.skipped.filter(pl.col("row") <= stream.last_heading)["why"]
    counted = Counter(head.to_list())
    for part in parts:
        counted.update(part)
    return dict(sorted(counted.items()))


def run_feed(
    pattern: str, folder: Path, options: ListOptions | None = None, *, scheduler: str | None = None
) -> FeedReport:
    """Check a feed on a cluster and write its findings.

    Parameters
    ----------
    pattern, folder
        The Parquet files, and where the findings go (`tallyhook.cluster.output.write_feed`).
    options : ListOptions, optional
        As for `tallyhook.check`.
    scheduler : str, optional
        Address of the cluster's scheduler; a cluster of this machine's cores otherwise.

    Raises
    ------
    MissingExtra
        dask.distributed is not installed.
    StockListError
        There is no cluster at the address, the feed is not one plain table, the folder cannot be
        written, or `tallyhook.check` would refuse an option.
    PackageError
        A rating package is broken.
    """
    need("cluster", "--engine dask")
    options = options or ListOptions()
    if folder.exists():
        raise folder_cannot_be_made(folder, say("it exists"))
    basis = rating_basis(options)
    if scheduler is not None:
        pattern = os.path.abspath(pattern)  # noqa: PTH100 (a worker may have another folder)
    feed = feed_of(pattern, options)
    paths = sorted({part.path for part in feed.parts})
    cluster = cluster_here(pattern) if scheduler is None else cluster_at(scheduler, paths)
    with cluster as watched:
        report = check_feed(feed, watched, basis)
    write_feed(report, folder)
    return report

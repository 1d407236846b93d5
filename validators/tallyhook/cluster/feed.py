"""The check of a feed of Parquet files on a cluster of machines, with dask.distributed futures.

A part of a file is read, and its rows are gathered by their texts, where it lies. Only the
distinct texts come to the machine that asks; they are interpreted, matched, judged and explained
there once. The rows stay on the cluster: part numbers are compared there by their hashes, and
only rows with findings come back. Every task is a pure function of a part of a file, so that the
work of a machine that is lost is done again by another.
"""

from __future__ import annotations

import glob
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from uuid import uuid4

import polars as pl

from tallyhook.cluster.workers import Watched, cluster_at
from tallyhook.errors import StockListError
from tallyhook.explaining.collect import columns_of, compared_rows, placed
from tallyhook.explaining.explain import explain
from tallyhook.files import whole_folder
from tallyhook.interpreting.batch import gather
from tallyhook.interpreting.interpret import Texts, items_of_texts, join_distinct, rekeyed
from tallyhook.matching.match import match
from tallyhook.model.finding import SEVERITIES
from tallyhook.model.sheet import Sheet
from tallyhook.packages.package import all_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reading.batches import (
    parquet_height,
    parquet_names,
    parquet_rows,
    parquet_sample,
)
from tallyhook.reading.records import parquet_errors
from tallyhook.recognising.profiles import load_profile
from tallyhook.recognising.recognise import Stream, recognise_stream
from tallyhook.reporting.report import Report
from tallyhook.rules.judge import hashes_apart, judge, part_hashes

__all__ = ["Feed", "FeedReport", "Part", "check_feed", "feed_of", "run_feed", "write_feed"]

PART = 1_000_000
"""Rows of a part at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Some rows of a file of the feed; `first` is the number of its first row in the feed."""

    path: str
    offset: int
    count: int
    first: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """Parquet files that are one list: how its columns are found, and its parts.

    The rows are numbered as if the files stood below each other under one heading in row 1.
    """

    pattern: str
    sample: Sheet = field(repr=False)
    parts: tuple[Part, ...]
    columns: Mapping[str, str]
    profile: tuple[Mapping[str, str], ...]

    def stream(self) -> Stream:
        """Recognise the columns.

        Raises
        ------
        StockListError
            The feed is no plain table.
        """
        found = recognise_stream(self.sample, overrides=self.columns, profile=self.profile)
        if found is None:
            raise _not_plain(self.pattern)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedReport:
    """What the check of a feed found; `counts` as in a report of a list."""

    feed: Feed
    findings: pl.DataFrame = field(repr=False)
    counts: dict[str, Any]
    crashed: dict[str, str]

    def failed(self, threshold: str) -> bool:
        """Whether a finding is at or above a severity."""
        worst = SEVERITIES[: SEVERITIES.index(threshold) + 1]
        return self.findings["severity"].is_in(worst).any()


def _not_plain(pattern: str) -> StockListError:
    return StockListError(
        "the feed is not one plain table with a heading",
        where=pattern,
        next_step="check its files one by one, without --engine",
    )


def _not_parquet(path: str, error: BaseException) -> StockListError:
    reason = (str(error).splitlines() or [type(error).__name__])[0]
    return StockListError(
        f"it cannot be read as Parquet ({reason})", where=path, next_step="export it again"
    )


def feed_of(
    pattern: str,
    *,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    part_rows: int = PART,
) -> Feed:
    """Look at the files of a feed.

    Raises
    ------
    StockListError
        There are none, one is not Parquet, or their columns differ.
    """
    paths = sorted(glob.glob(pattern))  # noqa: PTH207 (a pattern may be absolute)
    if not paths:
        raise StockListError("there is no such file", where=pattern, next_step="check the pattern")
    parts: list[Part] = []
    names: list[str] | None = None
    first = 2
    for path in paths:
        try:
            height = parquet_height(Path(path))
            own = parquet_names(Path(path))
        except parquet_errors() as error:
            raise _not_parquet(path, error) from None
        names = names or own
        if own != names:
            raise StockListError(
                "its columns are not those of the first file",
                where=path,
                next_step="check the files of each kind as a feed of their own",
            )
        for offset in range(0, height, part_rows):
            count = min(part_rows, height - offset)
            parts.append(Part(path=path, offset=offset, count=count, first=first + offset))
        first += height
    known = load_profile(profile)["columns"] if profile is not None else []
    try:
        sample = parquet_sample(Path(paths[0]))
    except parquet_errors() as error:
        raise _not_parquet(paths[0], error) from None
    return Feed(
        pattern=pattern,
        sample=sample,
        parts=tuple(parts),
        columns=dict(columns or {}),
        profile=tuple(known),
    )


# --- what is done where a part lies: pure functions of it ------------------------------------


def gather_part(feed: Feed, part: Part) -> Texts | None:
    """Gather the rows of a part by their texts; None when it is not plain."""
    stream = feed.stream()
    try:
        frame = parquet_rows(Path(part.path), feed.sample, part.offset, part.count, part.first)
    except parquet_errors() as error:
        raise _not_parquet(part.path, error) from None
    found = gather(frame, stream)
    return None if found is None else found.texts


def distinct_of(texts: Texts | None) -> tuple[pl.DataFrame, ...] | None:
    """Give what goes to the machine that asks."""
    return None if texts is None else texts.distinct


def rows_of_part(texts: Texts, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of a part their keys in the whole feed."""
    return rekeyed(texts.rows, keys)


def share_of_hashes(rows: pl.DataFrame, share: int, shares: int) -> pl.DataFrame:
    """Give the hashes of one share of the part numbers, with the keys they stand with."""
    return part_hashes(rows, "part", share, shares)


def mixed_hashes(*summaries: pl.DataFrame) -> pl.Series:
    """Give the hashes of part numbers that stand with different items anywhere in the feed."""
    return hashes_apart(summaries)


def rows_with(rows: pl.DataFrame, hashes: pl.Series) -> pl.DataFrame:
    """Give the rows whose part number is one of those."""
    return rows.filter(pl.col("part").hash().is_in(hashes.implode()))


def rows_found(
    rows: pl.DataFrame, columns: pl.DataFrame, keys: pl.Series
) -> tuple[pl.DataFrame, pl.DataFrame, dict[int, int]]:
    """Give the rows whose items have findings, their places, and how many rows were compared.

    A row of a matrix holds several items, and what is wrong with one may strike the others.
    """
    touched = rows.filter(pl.col("key").is_in(keys.implode()))["row"].unique()
    found = rows.filter(pl.col("row").is_in(touched.implode())).drop("part")
    return found, placed(rows, columns, keys), compared_rows(rows, columns)


# --- the whole ---------------------------------------------------------------------------------


def check_feed(
    feed: Feed,
    client: Any,
    *,
    scheme: str | None = None,
    extra: Sequence[str | Path] = (),
    shares: int = 8,
) -> FeedReport:
    """Check a feed with the futures of a cluster.

    Parameters
    ----------
    feed : Feed
        From `feed_of`.
    client : distributed.Client
        Its workers must see the files under the same paths and have tallyhook installed.
    scheme, extra
        As for `tallyhook.check`.
    shares : int
        How many tasks the comparison of part numbers is cut into.
    """
    run = uuid4().hex[:8]

    def submit(task: str, number: int, function: Any, *args: Any) -> Any:
        return client.submit(function, *args, key=f"tallyhook-{task}-{run}-{number}", pure=False)

    stream = feed.stream()
    texts = [submit("texts", n, gather_part, feed, p) for n, p in enumerate(feed.parts)]
    gathered = client.gather([submit("distinct", n, distinct_of, t) for n, t in enumerate(texts)])
    if any(part is None for part in gathered):
        raise _not_plain(feed.pattern)
    distinct, keys = join_distinct(gathered)
    if not all(stream.plain(each) for each in distinct):
        raise _not_plain(feed.pattern)
    rows = [submit("rows", n, rows_of_part, t, keys[n]) for n, t in enumerate(texts)]

    packages = all_packages(extra)
    reference = reference_ratings(packages)
    none = pl.DataFrame(schema={"row": pl.UInt32, "part": pl.String, "key": pl.UInt32})
    listed = items_of_texts(Texts(rows=none, distinct=distinct), stream.layout)
    items = listed.distinct
    if scheme:
        items = items.with_columns(pl.col("scheme").fill_null(scheme))
    listed = replace(listed, distinct=match(items, reference))

    mixed = []
    for share in range(shares):
        own = [
            submit(f"share-{share}", n, share_of_hashes, r, share, shares)
            for n, r in enumerate(rows)
        ]
        mixed.append(submit("mixed", share, mixed_hashes, *own))
    hashes = pl.concat(client.gather(mixed))
    apart = client.gather([submit("apart", n, rows_with, r, hashes) for n, r in enumerate(rows)])
    judgement = judge(
        replace(listed, rows=pl.concat([none, *apart])), reference, packages, file=feed.pattern
    )
    wanted = judgement.findings["key"].drop_nulls().unique()
    columns = columns_of(listed.distinct)
    found = client.gather(
        [submit("found", n, rows_found, r, columns, wanted) for n, r in enumerate(rows)]
    )
    with_findings = replace(listed, rows=pl.concat([none, *(f[0] for f in found)], how="diagonal"))
    findings = explain(
        judgement.findings,
        with_findings,
        reference,
        packages["vocabulary"]["causes"],
        places=_in_a_row(found),
    )
    told = pl.concat([with_findings.rows, *apart], how="diagonal").unique(["row", "key"])
    report = Report(
        file=feed.pattern,
        layouts=(stream.layout,),
        listed=replace(listed, rows=told.sort("row", "key")),
        stock_findings=findings,
        crashed=judgement.crashed,
        packages={name: package.version for name, package in packages.items()},
    )
    return FeedReport(feed=feed, findings=findings, counts=report.counts, crashed=judgement.crashed)


def run_feed(
    pattern: str,
    folder: Path,
    *,
    scheduler: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    scheme: str | None = None,
    extra: Sequence[str | Path] = (),
) -> FeedReport:
    """Check a feed on a cluster and write its findings.

    Parameters
    ----------
    pattern, folder
        The Parquet files, and where the findings go (`write_feed`).
    scheduler : str, optional
        Address of the cluster's scheduler; a cluster of this machine's cores otherwise.
    columns, profile, scheme, extra
        As for `tallyhook.check`.

    Raises
    ------
    StockListError
        dask.distributed is not installed, there is no cluster at the address, the feed is not
        one plain table, or the folder cannot be written.
    """
    try:
        from distributed import Client, LocalCluster
    except ModuleNotFoundError:
        raise StockListError(
            "dask.distributed is not installed", next_step="install tallyhook[cluster]"
        ) from None
    if folder.exists():
        raise _folder_taken(folder, "it exists")
    if scheduler is None:
        feed = feed_of(pattern, columns=columns, profile=profile)
        with LocalCluster(threads_per_worker=1, dashboard_address=None) as here, Client(here) as c:
            watched = Watched(client=c, where=pattern)
            report = check_feed(feed, watched, scheme=scheme, extra=extra)
    else:
        # a worker may have been started in another folder
        feed = feed_of(os.path.abspath(pattern), columns=columns, profile=profile)  # noqa: PTH100
        with cluster_at(scheduler, sorted({part.path for part in feed.parts})) as watched:
            report = check_feed(feed, watched, scheme=scheme, extra=extra)
    write_feed(report, folder)
    return report


def _folder_taken(folder: Path, reason: str | None) -> StockListError:
    return StockListError(
        f"the folder cannot be made ({reason})",
        where=str(folder),
        next_step="name a folder that is not there yet",
    )


def _in_a_row(
    found: Sequence[tuple[pl.DataFrame, pl.DataFrame, dict[int, int]]],
) -> pl.DataFrame:
    """Count the places of compared rows through all parts."""
    before: dict[int, int] = {}
    moved = []
    for _, places, compared in found:
        offsets = pl.col("_column").replace_strict(before, default=0, return_dtype=pl.Int64)
        moved.append(places.with_columns(pl.col("_place") + offsets))
        for column, count in compared.items():
            before[column] = before.get(column, 0) + count
    return pl.concat(moved)


def write_feed(report: FeedReport, folder: Path) -> None:
    """Write the findings as a folder of Parquet files, one for each file of the feed.

    ``list-wide.parquet`` holds those of a whole column or block, ``summary.json`` the counts and
    the number of the first row of each file. A folder that is there already is not touched.

    Raises
    ------
    StockListError
        The folder exists, or cannot be written.
    """
    starts: dict[str, tuple[int, int]] = {}
    for part in report.feed.parts:
        first, count = starts.get(part.path, (part.first, 0))
        starts[part.path] = (first, count + part.count)
    if folder.exists():
        raise _folder_taken(folder, "it exists")
    try:
        with whole_folder(folder) as draft:
            _write_parts(report, starts, draft)
    except OSError as error:
        raise _folder_taken(folder, error.strerror or str(error)) from None


def _write(table: pl.DataFrame, path: Path) -> None:
    with path.open("wb") as file:  # polars takes no path that holds bytes that are no text
        table.write_parquet(file)


def _write_parts(report: FeedReport, starts: Mapping[str, tuple[int, int]], folder: Path) -> None:
    found, files = report.findings, []
    for number, (path, (first, count)) in enumerate(starts.items()):
        name = f"part-{number:05}.parquet"
        own = found.filter(pl.col("row").is_between(first, first + count - 1))
        _write(own.with_columns(pl.lit(path).alias("file")), folder / name)
        files.append({"file": path, "first_row": first, "rows": count, "findings": name})
    _write(found.filter(pl.col("row").is_null()), folder / "list-wide.parquet")
    summary = {
        "feed": report.feed.pattern,
        "counts": report.counts,
        "files": files,
        "complete": not report.crashed,
        "crashed": report.crashed,
    }
    (folder / "summary.json").write_text(
        json.dumps(summary, indent=2, ensure_ascii=False) + "\n", encoding="utf-8"
    )

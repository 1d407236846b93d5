"""The findings of a feed as a folder of Parquet files."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from tallyhook import __version__
from tallyhook.cluster.feed import Feed
from tallyhook.errors import StockListError
from tallyhook.files import whole_folder
from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.counts import Counts
from tallyhook.reporting.gates import compared, reasons_incomplete
from tallyhook.reporting.json_schemas import SCHEMA_VERSION

__all__ = ["FeedReport", "folder_cannot_be_made", "write_feed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedReport:
    """What a feed was found to hold: `findings`, `counts`, `passed_over` as a report has them."""

    feed: Feed
    findings: pl.DataFrame = field(repr=False)
    counts: Counts
    crashed: dict[str, str]
    packages: dict[str, str]
    passed_over: dict[str, int]

    @property
    def file(self) -> str:
        """The pattern of its files."""
        return self.feed.pattern

    @property
    def compared(self) -> bool:
        """Whether any item was held against a rating."""
        return compared(self.counts)

    @property
    def complete(self) -> bool:
        """Whether every rule answered, and items were compared."""
        return not self.incomplete

    @property
    def incomplete(self) -> tuple[str, ...]:
        """Why the answer is not whole, a clause each: where there is one, the exit code is 2."""
        return reasons_incomplete(self.counts, self.crashed)

    def failed(self, threshold: str) -> bool:
        """Whether a finding is at or above a severity."""
        worst = SEVERITIES[: SEVERITIES.index(threshold) + 1]
        return self.findings["severity"].is_in(worst).any()


def folder_cannot_be_made(folder: Path, reason: str) -> StockListError:
    """Say that the folder of the findings cannot be made, and why."""
    return StockListError(
        say("the folder cannot be made ({reason})", reason=reason),
        where=str(folder),
        next_step=say("name a folder that is not there yet"),
    )


def write_feed(report: FeedReport, folder: Path) -> None:
    """Write the findings as a folder of Parquet files, one for each file of the feed.

    Their columns are those of the findings of a report (`tallyhook.Report.findings`).
    ``list-wide.parquet`` holds those of a whole column or block, ``summary.json`` the versions, the
    counts, the rows that hold no item, and the number of the first row of each file. A folder that
    is there already is not touched.

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
        raise folder_cannot_be_made(folder, say("it exists"))
    try:
        with whole_folder(folder) as draft:
            _write_parts(report, starts, draft)
    except OSError as error:
        raise folder_cannot_be_made(folder, error.strerror or str(error)) from None


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
        "tool": "tallyhook",
        "version": __version__,
        "schema_version": SCHEMA_VERSION,
        "packages": report.packages,
        "feed": report.feed.pattern,
        "counts": report.counts,
        "passed_over": report.passed_over,
        "files": files,
        "compared": report.compared,
        "complete": report.complete,
        "incomplete": list(report.incomplete),
        "crashed": report.crashed,
    }
    (folder / "summary.json").write_text(
        json.dumps(summary, indent=2, ensure_ascii=False) + "\n", encoding="utf-8"
    )

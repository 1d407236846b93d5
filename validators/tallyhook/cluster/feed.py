"""A feed: Parquet files that are one list, and the parts that it is worked on in."""

from __future__ import annotations

import glob
from dataclasses import dataclass, field
from pathlib import Path

from tallyhook.errors import StockListError
from tallyhook.interpreting.list_items import column_choice, stream_of
from tallyhook.messages import say
from tallyhook.model.options import ColumnChoice, ListOptions
from tallyhook.model.sheet import Sheet
from tallyhook.reading.batches import parquet_height, parquet_names, parquet_sample
from tallyhook.reading.lists import no_sheets
from tallyhook.reading.records import parquet_errors
from tallyhook.recognising.layouts import Stream

__all__ = ["Feed", "Part", "feed_of", "not_parquet", "not_plain"]

PART = 1_000_000
"""Rows of a part at most."""

_FIRST_ROW = 2  # the names of the columns are row 1


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
    choice: ColumnChoice

    def stream(self) -> Stream:
        """Recognise the columns.

        Raises
        ------
        StockListError
            The feed is no plain table.
        """
        found = stream_of(self.sample, self.choice)
        if found is None:
            raise not_plain(self.pattern)
        return found


def not_plain(pattern: str) -> StockListError:
    """Say that a feed cannot be worked on in parts."""
    return StockListError(
        say("the feed is not one plain table with a heading"),
        where=pattern,
        next_step=say("check its files one by one, without --engine"),
    )


def not_parquet(path: str, error: BaseException) -> StockListError:
    """Say that a file of a feed is no Parquet, and why."""
    reason = (str(error).splitlines() or [type(error).__name__])[0]
    return StockListError(
        say("it cannot be read as Parquet ({reason})", reason=reason),
        where=path,
        next_step=say("export it again"),
    )


def feed_of(pattern: str, options: ListOptions | None = None, *, part_rows: int = PART) -> Feed:
    """Look at the files of a feed.

    Raises
    ------
    StockListError
        There are none, one is not Parquet, their columns differ or cannot be recognised, or a
        sheet is asked for.
    """
    options = options or ListOptions()
    paths = sorted(glob.glob(pattern))  # noqa: PTH207 (a pattern may be absolute)
    if not paths:
        raise StockListError(
            say("there is no such file"), where=pattern, next_step=say("check the pattern")
        )
    if options.sheet is not None:
        raise no_sheets(pattern)
    parts: list[Part] = []
    names: list[str] | None = None
    first = _FIRST_ROW
    for path in paths:
        height, own = _height_and_names(path)
        names = names or own
        if own != names:
            raise StockListError(
                say("its columns are not those of the first file"),
                where=path,
                next_step=say("check the files of each kind as a feed of their own"),
            )
        for offset in range(0, height, part_rows):
            count = min(part_rows, height - offset)
            parts.append(Part(path=path, offset=offset, count=count, first=first + offset))
        first += height
    feed = Feed(
        pattern=pattern,
        sample=_sample(parts[0].path if parts else paths[0]),
        parts=tuple(parts),
        choice=column_choice(options),
    )
    feed.stream()  # what is wrong with the columns is said before a cluster is asked
    return feed


def _height_and_names(path: str) -> tuple[int, list[str]]:
    try:
        return parquet_height(Path(path)), parquet_names(Path(path))
    except parquet_errors() as error:
        raise not_parquet(path, error) from None


def _sample(path: str) -> Sheet:
    try:
        return parquet_sample(Path(path))
    except parquet_errors() as error:
        raise not_parquet(path, error) from None

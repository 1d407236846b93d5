"""Hold a stock list against the ratings: the whole way, from a file to a report."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.explaining.explain import explain
from tallyhook.interpreting.batch import gather
from tallyhook.interpreting.interpret import Texts, items_of_texts, join_texts, texts_of
from tallyhook.matching.match import match
from tallyhook.model.distinct import DistinctItems, distinct_items, join_distinct_items
from tallyhook.packages.package import Package, all_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reading.batches import Batches, NotPlain, open_batches
from tallyhook.reading.lists import read_list, sheet_from_frame
from tallyhook.recognising.profiles import load_profile
from tallyhook.recognising.recognise import Layout, recognise_all, recognise_stream
from tallyhook.reporting.report import Report
from tallyhook.reporting.tidied import (
    is_tidy,
    items_of_tidy,
    layout_of_tidy,
    original_text,
    skipped_of_tidy,
    write_tidy,
)
from tallyhook.rules.judge import judge

if TYPE_CHECKING:
    import pandas as pd

T = TypeVar("T")

_THREADS, _AHEAD = 2, 4  # batches worked on at a time, and read before the work begins

__all__ = ["check", "items_of", "layouts_of", "tidy"]


def check(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    scheme: str | None = None,
    extra: Sequence[str | Path] = (),
    progress: Callable[[int], None] | None = None,
) -> Report:
    """Check a stock list.

    Parameters
    ----------
    stock : path or frame
        A file in any format that `tallyhook.reading.lists.read_list` reads, or a frame whose column
        names are the headings.
    sheet : str, optional
        Only this sheet of a workbook; all sheets otherwise.
    columns : mapping of role to heading, optional
        Overrides what would be recognised: ``{"wll": "Cap."}``.
    profile : path, optional
        A file that keeps the mapping of a shop's columns.
    scheme : str, optional
        The rating scheme that rows claim unless their own words claim another
        (``vocabulary.schemes``); any scheme otherwise.
    extra : sequence of path
        Folders of a maker's rating packages, used beside the built-in ones.
    progress : callable, optional
        Told how many rows were read so far, after each batch of a long list.

    Returns
    -------
    Report
        With ``.findings``, ``.items``, ``.not_compared`` as pandas frames.

    Raises
    ------
    StockListError
        The list cannot be read, or nothing in it can be a rating.
    PackageError
        A rating package is broken.
    """
    packages = all_packages(extra)
    _known_scheme(scheme, packages)
    layouts, listed = gathered(
        stock, sheet=sheet, columns=columns, profile=profile, progress=progress
    )
    if scheme:
        claimed = pl.col("scheme").fill_null(scheme)
        listed = replace(listed, distinct=listed.distinct.with_columns(claimed))
    reference = reference_ratings(packages)
    listed = replace(listed, distinct=match(listed.distinct, reference))
    file = layouts[0].sheet.file
    judgement = judge(listed, reference, packages, file=file)
    findings = explain(judgement.findings, listed, reference, packages["vocabulary"]["causes"])
    return Report(
        file=file,
        layouts=tuple(layouts),
        listed=listed,
        stock_findings=findings,
        crashed=judgement.crashed,
        packages={name: package.version for name, package in packages.items()},
    )


def tidy(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    folder: str | Path,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
) -> dict[str, int]:
    """Write a stock list as clean, typed, canonical data.

    Parameters
    ----------
    stock, sheet, columns, profile
        As for `check`.
    folder : path
        Where the data package goes: ``list.csv`` with the items and the original text of each
        row, ``unread.csv`` with what could not be read, ``skipped.csv`` with the rows that hold
        no item, and their ``datapackage.json``. Tidying its ``list.csv`` changes nothing.

    Returns
    -------
    dict
        How many ``items``, ``unread`` fields and ``skipped`` rows there are.

    Raises
    ------
    StockListError
        The list cannot be read, or the folder holds something else or cannot be written.
    """
    layouts = layouts_of(stock, sheet=sheet, columns=columns, profile=profile)
    items = items_of(layouts)
    first = layouts[0].sheet
    if is_tidy(first):
        original = items_of_tidy(first)[1]
        name, skipped = skipped_of_tidy(first)
    else:
        original = original_text(layouts, items)
        name = Path(first.file).name
        skipped = pl.concat(
            layout.skipped.select(
                pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet"), "row", "why"
            )
            for layout in layouts
        )
    return write_tidy(Path(folder), file=name, items=items, original=original, skipped=skipped)


def layouts_of(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
) -> list[Layout]:
    """Read a list and recognise the columns of every table in it that holds ratings.

    Raises
    ------
    StockListError
        The list cannot be read, or no sheet of it holds a rating.
    """
    if isinstance(stock, (str, Path)):
        sheets = read_list(stock, sheet=sheet)
    else:
        sheets = [sheet_from_frame(stock)]
    known = load_profile(profile)["columns"] if profile is not None else ()
    layouts: list[Layout] = []
    refused: dict[str | None, StockListError] = {}
    for each in sheets:
        if is_tidy(each):
            layouts.append(layout_of_tidy(each))
            continue
        try:
            layouts += recognise_all(each, overrides=columns, profile=known)
        except StockListError as error:
            refused[each.name] = error
    if not layouts:
        raise next(iter(refused.values()))
    first, *others = layouts
    left_out = (*first.sheet.left_out, *((str(name), e.what) for name, e in refused.items()))
    return [replace(first, sheet=replace(first.sheet, left_out=left_out)), *others]


def gathered(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    progress: Callable[[int], None] | None = None,
) -> tuple[list[Layout], DistinctItems]:
    """Read, recognise and interpret a list: a long plain one in batches, any other as a whole.

    Raises
    ------
    StockListError
        The list cannot be read, or no sheet of it holds a rating.
    """
    batches = open_batches(Path(stock)) if isinstance(stock, (str, Path)) else None
    if batches is not None and sheet is None and not is_tidy(batches.sample):
        known = load_profile(profile)["columns"] if profile is not None else ()
        with suppress(NotPlain):
            layout, texts = streamed(batches, columns=columns, profile=known, progress=progress)
            return [layout], items_of_texts(texts, layout)
    layouts = layouts_of(stock, sheet=sheet, columns=columns, profile=profile)
    return layouts, items_of_layouts(layouts)


def streamed(
    batches: Batches,
    *,
    columns: Mapping[str, str] | None = None,
    profile: Sequence[Mapping[str, str]] = (),
    progress: Callable[[int], None] | None = None,
) -> tuple[Layout, Texts]:
    """Take the distinct texts of a long list, batch by batch; the layout's body keeps no cells.

    Raises
    ------
    NotPlain
        It has to be read as a whole.
    """
    frames, parts = batches.frames(), []
    with ThreadPoolExecutor(_THREADS) as pool:
        ahead = pool.submit(_taken, frames)  # read while the columns are recognised
        try:
            stream = recognise_stream(batches.sample, overrides=columns, profile=profile)
        except StockListError:
            raise NotPlain from None  # the whole list may say more than its sample
        if stream is None:
            raise NotPlain
        work = partial(gather, stream=stream)
        for found in _in_turn(pool, chain(ahead.result(), frames), work, progress):
            # a batch that holds next to nothing has another heading or separator than the sample
            if found is None or found.skipped.height > found.body.height:
                raise NotPlain
            parts.append(found)
    texts = join_texts([part.texts for part in parts])
    if not all(stream.plain(distinct) for distinct in texts.distinct):
        raise NotPlain
    skipped = pl.concat([part.skipped for part in parts])
    # a format that names its columns has no row for them in its batches
    heading = (pl.col("row") <= stream.last_heading) & ~pl.col("row").is_in(
        skipped["row"].implode()
    )
    layout = replace(
        stream.layout,
        body=pl.concat([part.body for part in parts]),
        skipped=pl.concat([stream.layout.skipped.filter(heading), skipped]),
    )
    return layout, texts


def _taken(frames: Iterator[pl.DataFrame]) -> list[pl.DataFrame]:
    return list(islice(frames, _AHEAD))


def _in_turn(
    pool: Executor,
    frames: Iterable[pl.DataFrame],
    work: Callable[[pl.DataFrame], T],
    progress: Callable[[int], None] | None,
) -> Iterator[T]:
    """Work on the frames in threads while the next are read; give the answers in their order."""
    seen = 0
    waiting: deque[Future[T]] = deque()
    for frame in frames:
        seen += frame.height
        if progress is not None:
            progress(seen)
        waiting.append(pool.submit(work, frame))
        if len(waiting) > _THREADS:  # no more in memory than there are hands for
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


def items_of_layouts(layouts: Sequence[Layout]) -> DistinctItems:
    """Interpret the rows of some layouts as items, each distinct one once."""
    parts = []
    for layout in layouts:
        if is_tidy(layout.sheet):
            parts.append(distinct_items(items_of_tidy(layout.sheet)[0]))
        else:
            parts.append(items_of_texts(texts_of(layout.body, layout), layout))
    return join_distinct_items(parts)


def items_of(layouts: Sequence[Layout]) -> pl.DataFrame:
    """Interpret the rows of some layouts as items, one a row."""
    return items_of_layouts(layouts).items()


def _known_scheme(scheme: str | None, packages: Mapping[str, Package]) -> None:
    known = packages["vocabulary"]["schemes"]["scheme"].to_list()
    if scheme is not None and scheme not in known:
        raise StockListError(
            f"there is no rating scheme '{scheme}'", next_step=f"use one of {', '.join(known)}"
        )

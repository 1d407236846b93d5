"""Any list as layouts and distinct items: a long plain one in batches, any other as a whole."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from contextvars import copy_context
from dataclasses import replace
from functools import partial
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import polars as pl

from tallyhook.bounds import refuse_beyond
from tallyhook.errors import StockListError
from tallyhook.interpreting.batch import BatchTexts, texts_of_batch
from tallyhook.interpreting.distinct_items import items_of_texts
from tallyhook.interpreting.distinct_texts import (
    DistinctTexts,
    distinct_texts_of,
    join_distinct_texts,
)
from tallyhook.interpreting.tidied import is_tidied, layout_of_tidied
from tallyhook.messages import say
from tallyhook.model.distinct import DistinctItems, distinct_items, join_distinct_items
from tallyhook.model.layout import Layout
from tallyhook.model.options import ColumnChoice, ListOptions
from tallyhook.model.sheet import BY_NAME, HIDDEN, LEFT_OUT, RATINGS, LeftOut, Sheet
from tallyhook.reading.batches import Batches, NotPlain, open_batches
from tallyhook.reading.lists import read_list, sheet_from_frame
from tallyhook.reading.streams import is_stream, on_disk
from tallyhook.recognising.layouts import (
    Stream,
    layouts_of_sheet,
    nothing_left,
    state_of_sheet,
    stream_of_sample,
)
from tallyhook.recognising.left_out import names_sheet, rows_named

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "column_choice",
    "items_of_layouts",
    "items_of_list",
    "layouts_of",
    "stream_of",
]

T = TypeVar("T")

_THREADS, _AHEAD = 2, 4  # batches worked on at a time, and read before the work begins


def items_of_list(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    options: ListOptions,
    progress: Callable[[int], None] | None = None,
) -> tuple[list[Layout], DistinctItems]:
    """Read, recognise and interpret a list.

    Raises
    ------
    StockListError
        The list cannot be read, or no sheet of it holds a rating.
    """
    if not isinstance(stock, (str, Path)):
        layouts = layouts_of(stock, options)
        return layouts, items_of_layouts(layouts)
    with on_disk(stock) as path:
        batches = open_batches(path)
        if batches is not None and options.sheet is None and not options.leave_out:
            with suppress(NotPlain):
                layout, texts = _read_batches(batches, column_choice(options), progress)
                return _named([layout], stock), items_of_texts(texts, layout)
        layouts = _named(layouts_of(path, options), stock)
    return layouts, items_of_layouts(layouts)


def _named(layouts: Sequence[Layout], stock: str | Path) -> list[Layout]:
    """Call each sheet by the name that the user gave, and not by that of a copy on disk."""
    if not is_stream(stock):
        return list(layouts)
    name = str(stock)
    return [replace(each, sheet=replace(each.sheet, file=name)) for each in layouts]


def layouts_of(
    stock: str | Path | pd.DataFrame | pl.DataFrame, options: ListOptions
) -> list[Layout]:
    """Read a list and recognise the columns of every table in it that holds ratings.

    Raises
    ------
    StockListError
        The list cannot be read, or no sheet of it holds a rating.
    """
    if isinstance(stock, (str, Path)):
        with on_disk(stock) as path:
            sheets = read_list(path, sheet=options.sheet)
            layouts = _layouts_of_sheets(sheets, options)
        return _named(layouts, stock)
    return _layouts_of_sheets([sheet_from_frame(stock)], options)


def _layouts_of_sheets(sheets: Sequence[Sheet], options: ListOptions) -> list[Layout]:
    choice = column_choice(options)
    only = sum(not each.is_hidden for each in sheets) == 1
    left_out = _left_out_by_name(sheets, options.leave_out, only=only)
    layouts: list[Layout] = []
    refused: list[StockListError] = []
    unseen: list[LeftOut] = []
    for each in sheets:
        if any(left.sheet == each.name and left.row is None for left in left_out):
            continue
        if each.is_hidden:
            unseen.append(LeftOut(sheet=each.name, why=HIDDEN, state=_state_of(each)))
            continue
        if is_tidied(each):
            layouts.append(layout_of_tidied(each))
            continue
        rows = rows_named(options.leave_out, each, only=only)
        try:
            layouts += layouts_of_sheet(
                each, overrides=choice.columns, profile=choice.profile, leave_out=rows
            )
        except StockListError as error:
            refused.append(error)
            unseen.append(LeftOut(sheet=each.name, why=error.what, state=_state_of(each)))
    if not layouts:
        raise refused[0] if refused else nothing_left(sheets[0].file)
    first, *others = layouts
    told = tuple(dict.fromkeys((*first.sheet.left_out, *unseen, *left_out)))
    return [replace(first, sheet=replace(first.sheet, left_out=told)), *others]


def _state_of(sheet: Sheet) -> str:
    return RATINGS if is_tidied(sheet) else state_of_sheet(sheet)


def _left_out_by_name(
    sheets: Sequence[Sheet], names: Sequence[str], *, only: bool
) -> list[LeftOut]:
    """Give the sheets that are left out by name.

    Raises
    ------
    StockListError
        A name is neither that of a sheet nor that of a row in one.
    """
    left_out = []
    for name in names:
        named = [each for each in sheets if names_sheet(name, each)]
        left_out += [LeftOut(sheet=each.name, why=BY_NAME, state=LEFT_OUT) for each in named]
        rows = (
            row in each.frame["row"]
            for each in sheets
            for row in rows_named([name], each, only=only)
        )
        if not named and not any(rows):
            known = [f"'{each.name}'" for each in sheets if each.name is not None]
            raise StockListError(
                say("there is no sheet or table '{name}' to leave out", name=name),
                where=sheets[0].file,
                next_step=say(
                    "name one of the sheets {sheets}, or a table by one of its rows: {example}",
                    sheets=", ".join(known),
                    example=f"'{sheets[0].name}!row 40'",
                )
                if known
                else say("name a table by one of its rows: {example}", example="'row 40'"),
            )
    return left_out


def stream_of(sample: Sheet, choice: ColumnChoice) -> Stream | None:
    """Recognise the columns of a long list from a sample; None if it must be read as a whole.

    Raises
    ------
    StockListError
        The sample holds no rating that can be recognised.
    """
    if is_tidied(sample):
        return None
    return stream_of_sample(sample, overrides=choice.columns, profile=choice.profile)


def column_choice(options: ListOptions) -> ColumnChoice:
    """Give what is said of the columns, the entries of a profile read from its file.

    Raises
    ------
    StockListError
        The profile cannot be read.
    """
    if options.profile is None:
        return ColumnChoice(columns=options.columns, profile=())
    from tallyhook.recognising.profiles import load_profile  # with a reader of TOML

    known = load_profile(options.profile)["columns"]
    return ColumnChoice(columns=options.columns, profile=tuple(known))


def items_of_layouts(layouts: Sequence[Layout]) -> DistinctItems:
    """Interpret the rows of some layouts as items, each distinct one once."""
    parts = [
        distinct_items(layout.tidied.items)
        if layout.tidied
        else items_of_texts(distinct_texts_of(layout.body, layout), layout)
        for layout in layouts
    ]
    return join_distinct_items(parts)


def _read_batches(
    batches: Batches, choice: ColumnChoice, progress: Callable[[int], None] | None
) -> tuple[Layout, DistinctTexts]:
    """Take the distinct texts of a long list, batch by batch; the layout's body keeps no cells.

    Raises
    ------
    NotPlain
        It has to be read as a whole.
    """
    frames, where = batches.frames(), batches.sample.file
    parts: list[BatchTexts] = []
    with ThreadPoolExecutor(_THREADS) as pool:
        # read while the columns are recognised
        ahead = pool.submit(copy_context().run, _first_few, frames)
        try:
            stream = stream_of(batches.sample, choice)
        except StockListError:
            raise NotPlain from None  # the whole list may say more than its sample
        if stream is None:
            raise NotPlain
        work = partial(texts_of_batch, stream=stream)
        for found in _in_turn(pool, chain(ahead.result(), frames), work, progress, where):
            if found is None:
                raise NotPlain
            parts.append(found)
    texts = join_distinct_texts([part.texts for part in parts])
    if not all(stream.plain(combinations) for combinations in texts.combinations):
        raise NotPlain
    return _layout_of_batches(stream, parts), texts


def _layout_of_batches(stream: Stream, parts: Sequence[BatchTexts]) -> Layout:
    skipped = pl.concat([part.skipped for part in parts])
    # a format that names its columns has no row for them in its batches
    heading = (pl.col("row") <= stream.last_heading) & ~pl.col("row").is_in(
        skipped["row"].implode()
    )
    return replace(
        stream.layout,
        body=pl.concat([part.body for part in parts]),
        skipped=pl.concat([stream.layout.skipped.filter(heading), skipped]),
    )


def _first_few(frames: Iterator[pl.DataFrame]) -> list[pl.DataFrame]:
    return list(islice(frames, _AHEAD))


def _in_turn(
    pool: Executor,
    frames: Iterable[pl.DataFrame],
    work: Callable[[pl.DataFrame], T],
    progress: Callable[[int], None] | None,
    where: str,
) -> Iterator[T]:
    """Work on the frames in threads while the next are read; give the answers in their order."""
    seen = 0
    waiting: deque[Future[T]] = deque()
    for frame in frames:
        seen += frame.height
        refuse_beyond("rows", say("{n:,} rows or more", n=seen), seen, where=where)
        if progress is not None:
            progress(seen)
        # a thread begins without the context that holds the reader's language
        waiting.append(pool.submit(copy_context().run, work, frame))
        if len(waiting) > _THREADS:  # no more in memory than there are threads for
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()

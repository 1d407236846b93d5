"""Workbooks (XLSX, XLSM, XLSB, XLS, ODS) as sheets of text cells."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.sheet import RATINGS, LeftOut, Sheet
from tallyhook.reading.records import cell_text
from tallyhook.reading.shape import check_shape, frame_of_rows, number_rows
from tallyhook.reading.workbook_process import sheets_from_process
from tallyhook.reading.workbook_worker import StoredSheet

__all__ = ["read_workbook"]


def read_workbook(path: Path, *, sheet: str | None = None) -> list[Sheet]:
    """Read the sheets of a workbook; hidden ones are marked, unless they are asked for by name.

    Raises
    ------
    StockListError
        The workbook is damaged, protected by a password, far too large, or holds no rows.
    """
    stored = sheets_from_process(path, sheet)
    sheets = [found for each in stored if each.shown and (found := _sheet_of(each, path))]
    if not sheets:
        raise StockListError(
            say("no sheet holds any rows"),
            where=str(path),
            next_step=say("check that it is the list"),
        )
    left_out, hidden = [], []
    for each in stored:
        if each.shown:
            continue
        try:
            why, found = each.unread, _sheet_of(each, path)
        except StockListError as error:
            why, found = error.what, None
        if why:  # nobody knows what it holds
            left_out.append(LeftOut(sheet=each.name, why=why, state=RATINGS))
        elif found is not None:
            hidden.append(replace(found, is_hidden=True))
    return [*(replace(each, left_out=tuple(left_out)) for each in sheets), *hidden]


def _sheet_of(stored: StoredSheet, path: Path) -> Sheet | None:
    width = max((len(r) for r in stored.rows), default=0)
    texts = [[cell_text(v) for v in r] for r in stored.rows]
    if not any(map(any, texts)):
        return None
    where = f"{path}, sheet '{stored.name}'"
    frame = check_shape(number_rows(frame_of_rows(texts, width)), where)
    return Sheet(
        file=str(path),
        name=stored.name,
        frame=frame,
        hidden=stored.hidden,
        merged=tuple((a + 1, b, c + 1, d) for (a, b), (c, d) in stored.merged),
        stored_numbers=_number_columns(stored.rows, frame),
    )


_PLAIN_NUMBER = re.compile(r"\s*+-?\d[\d.,' ]*+\s*+")


def _number_columns(rows: list[list[Any]], frame: pl.DataFrame) -> frozenset[str]:
    """Find the columns in which nothing that looks like a number was stored as text."""
    found = set()
    for i, column in enumerate(frame.columns[1:]):
        cells = [r[i] for r in rows if i < len(r)]
        stored = any(isinstance(v, (int, float)) and not isinstance(v, bool) for v in cells)
        if stored and not any(isinstance(v, str) and _PLAIN_NUMBER.fullmatch(v) for v in cells):
            found.add(column)
    return frozenset(found)

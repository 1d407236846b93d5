"""Rows of a rating table as a table for a terminal, each number with its documents below it.

What is the same in every row is said once above the table; source, place and how a row is known
go to numbered lines below it, so that the ratings stand side by side in 80 columns. A table that a
terminal is too narrow for is given a row at a time.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import polars as pl
from rich.box import Box
from rich.console import Console, RenderableType
from rich.measure import Measurement
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tallyhook.messages import say
from tallyhook.wording import CAUTION, number_text, terminal_width

__all__ = ["rating_table_text"]

_ORIGIN = ("source", "locator", "known_by")
_BELOW = ("rating_id", *_ORIGIN, "note")
"""Not columns of the text: a name of 40 characters says what its row says; JSON has it."""
_RULED = Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
"""A line of hyphens below the heading and nothing else: it goes through every pipe."""


def rating_table_text(rows: pl.DataFrame, *, width: int | None = None) -> str:
    """Write rows of a rating table for people, with the caution.

    Parameters
    ----------
    rows : frame
        Any table of a rating package, at least one row; units are the endings of the column
        names (``wll_kg`` in [kg]). Empty cells and columns are left out.
    width : int, optional
        In characters; that of the terminal otherwise.

    Examples
    --------
    >>> rows = pl.DataFrame(
    ...     {"size_mm": [10.0, 13.0], "wll_kg": [3150.0, 5300.0], "source": ["en-818-2"] * 2}
    ... )
    >>> print(rating_table_text(rows, width=60))  # EN 818-2, grade 8
    size_mm   wll_kg   from
    -----------------------
         10    3,150   1
         13    5,300   1
    <BLANKLINE>
    1  en-818-2
    <BLANKLINE>
    2 rows. Follow the maker's instructions, local codes and a
    qualified person; a maker's marked rating governs over any
    general table.
    <BLANKLINE>
    """
    out = Console(
        file=io.StringIO(),
        width=width or terminal_width(),
        force_terminal=sys.stdout.isatty(),
        highlight=False,
        color_system="auto" if sys.stdout.isatty() else None,
    )
    filled = [c for c in rows.columns if any(_has(v) for v in rows[c])]
    same = [c for c in filled if c not in _BELOW and rows.height > 1 and rows[c].n_unique() == 1]
    columns = [c for c in filled if c not in same and c not in _BELOW]
    origins = _numbered(_line(row, _ORIGIN) for row in rows.iter_rows(named=True))
    notes = _numbered(_line(row, ("note",)) for row in rows.iter_rows(named=True))
    letters = {note: _letters(n) for note, n in notes.items()}
    table = _table(rows, columns, origins, letters)
    if same:
        first = rows.row(0, named=True)
        fixed = "; ".join(f"{c} {_shown(first[c])}" for c in same)
        out.print(Text(say("in every row: {fixed}", fixed=fixed)), end="\n\n")
    needed = Measurement.get(out, out.options.update(max_width=10_000), table)
    # no word is cut, and no sentence is squeezed into a column of three lines or more
    if needed.minimum <= out.width and needed.maximum <= 2 * out.width:
        out.print(table)
    else:
        _print_rows(out, rows, columns, origins, letters)
    out.print()
    marks = [
        *((str(n), line) for line, n in origins.items()),
        *((v, k) for k, v in letters.items()),
    ]
    for mark, line in marks:
        out.print(_hanging(mark, line))
    if marks:
        out.print()
    count = say("{n} rows.", n=rows.height)
    out.print(Text(f"{count} {say(CAUTION)}", style="italic"))
    assert isinstance(out.file, io.StringIO)
    return "\n".join(line.rstrip() for line in out.file.getvalue().split("\n"))


def _table(
    rows: pl.DataFrame, columns: Sequence[str], origins: dict[str, int], letters: dict[str, str]
) -> Table:
    table = Table(box=_RULED, pad_edge=False, show_edge=False, header_style="bold")
    for column in columns:
        numeric = rows.schema[column].is_numeric()
        words = [word for cell in [column, *rows[column]] for word in _shown(cell).split()]
        table.add_column(
            column,
            justify="right" if numeric else "left",
            overflow="fold",
            min_width=max(map(len, words)),
        )
    table.add_column(say("from"), no_wrap=True)
    for row in rows.iter_rows(named=True):
        table.add_row(*(_cell(row[c]) for c in columns), Text(_marks(row, origins, letters)))
    return table


def _print_rows(
    out: Console,
    rows: pl.DataFrame,
    columns: Sequence[str],
    origins: dict[str, int],
    letters: dict[str, str],
) -> None:
    for row in rows.iter_rows(named=True):
        cells = [f"{c} {_shown(row[c])}" for c in columns if _has(row[c])]
        marks = _marks(row, origins, letters)
        origin = say("from {documents}", documents=marks)
        out.print(_hanging("-", "; ".join([*cells, origin])))


def _marks(row: dict[str, Any], origins: dict[str, int], letters: dict[str, str]) -> str:
    origin, note = _line(row, _ORIGIN), _line(row, ("note",))
    found = [str(origins[origin])] if origin else []
    return ", ".join([*found, *([letters[note]] if note else [])])


def _line(row: dict[str, Any], columns: Iterable[str]) -> str:
    return "; ".join(_shown(row[c]) for c in columns if _has(row.get(c)))


def _numbered(lines: Iterable[str]) -> dict[str, int]:
    """Number the distinct lines in the order in which they come."""
    return {line: n for n, line in enumerate(dict.fromkeys(filter(None, lines)), 1)}


def _letters(n: int) -> str:
    """Give a, b ... z, aa, ab ... for 1, 2 ...; numbers are the documents'."""
    before, last = divmod(n - 1, 26)
    return (_letters(before) if before else "") + chr(ord("a") + last)


def _hanging(mark: str, line: str) -> RenderableType:
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    grid.add_row(Text(mark), Text(line))
    return Padding(grid, 0)


def _cell(value: Any) -> Text:
    return Text(_shown(value) if _has(value) else "")


def _has(value: Any) -> bool:
    return value is not None and value != ""


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()  # as the table and --where write it
    return number_text(value) if isinstance(value, float) else str(value)

"""What the lines around a table say of all its ratings, or of every row."""

from __future__ import annotations

import re
from functools import cache

import polars as pl

from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import Columns, TableEvidence, having
from tallyhook.recognising.headings import Reading, read_heading
from tallyhook.recognising.row_texts import names_goods
from tallyhook.recognising.unit_words import measures_load, plain_words, unit_of
from tallyhook.recognising.words import one_of, title_words
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import fold

__all__ = ["read_title", "said_of_all_rows", "unit_around", "unit_said"]


def unit_around(columns: Columns, table: TableEvidence) -> str | None:
    """Find the one unit of load that the lines around the table give for all ratings."""
    texts = [*table.titles, *_lone_cells(table)]
    texts += [c.heading for c in having(columns, "size", "grade")]  # the corner of a matrix
    if table.sheet.name:
        texts.append(table.sheet.name)
    found = {u for t in texts if (u := unit_said(t))}
    return found.pop() if len(found) == 1 else None


def _lone_cells(table: TableEvidence) -> list[str]:
    """Give the rows with one filled cell below the heading: notes and section headings."""
    cells = [c for c in table.frame.columns if c != "row"]
    if len(cells) < 2:
        return []
    filled = pl.sum_horizontal((pl.col(c).str.strip_chars() != "") for c in cells)
    lone = table.frame.filter((pl.col("row") > table.heading.last) & (filled == 1))
    read = lone.head(thresholds.LONE_CELL_ROWS).select(cells)
    return ["".join(str(v) for v in r).strip() for r in read.iter_rows()]


_PIECES = re.compile(r"[.;:|–—]| - |, ")


def read_title(text: str) -> Reading:
    """Read the part of a title that could be a heading: "Rated loads in kg, spring list"."""
    for piece in _PIECES.split(text):
        reading = read_heading(piece)
        if set(reading.roles.values()) & {"wll", "load"}:
            return reading
    return Reading(text=text)


@cache
def _speaks_of_all() -> re.Pattern[str]:
    return re.compile(rf"\b{one_of(title_words('of-all'))}\b")


@cache
def _speaks_of(what: str) -> re.Pattern[str]:
    return re.compile(one_of(title_words(what)))


def unit_said(text: str) -> str | None:
    """Give the unit of load that a title or note gives for the ratings.

    Examples
    --------
    >>> unit_said("All ratings in kg."), unit_said("All weights in kg.")
    ('kg', None)
    """
    for piece in (text, *_PIECES.split(text)):
        reading = read_heading(piece)
        if "wll" in reading.roles.values() and reading.unit and measures_load(reading.unit):
            return reading.unit
    words = re.findall(r"[^\W\d_]+\.?", text)
    low = fold(text)
    says_so = _speaks_of_all().search(low) and _speaks_of("rating").search(low)
    if not says_so or _speaks_of("other").search(low):
        return None
    found = {
        u
        for i, w in enumerate(words)
        for u in (unit_of(" ".join(words[i : i + 2])) or unit_of(w),)
        if u and measures_load(u) and not (w.casefold() in plain_words() or (u == "t" and i == 0))
    }
    if "t" in found and _speaks_of("kind-of-ton").search(low):
        found -= {"ton"}
    return found.pop() if len(found) == 1 else None


@cache
def _sheet_name() -> re.Pattern[str]:
    names = one_of(str(r["word"]) for r in rows("sheet-names"))
    return re.compile(rf"{names}\s*\d*")


def said_of_all_rows(table: TableEvidence) -> str | None:
    """Give what the title and the sheet's name say of every row: a grade, a kind of goods."""
    last = table.titles[-thresholds.TITLES_BEFORE_TABLE :]
    texts = [t for t in last if len(t) <= thresholds.LONGEST_TITLE]
    name = table.sheet.name
    if name and not _sheet_name().fullmatch(fold(name)):
        texts.insert(0, name)
    said = [t for t in dict.fromkeys(texts) if names_goods(t)]
    return " / ".join(said) or None

"""Which rows of a table are items, and what every other row is."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import polars as pl

from tallyhook.messages import to_say
from tallyhook.model.sheet import Sheet
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import holds_load, holds_size, is_number
from tallyhook.recognising.habits import Habits, cell_columns, filled_counts
from tallyhook.recognising.heading_rows import (
    Cells,
    Heading,
    filled_of,
    is_amount,
    repeats_heading,
)
from tallyhook.recognising.headings import read_heading
from tallyhook.recognising.row_texts import (
    heads_group,
    is_note,
    is_sentence,
    is_total,
    letters_in,
    names_goods,
    names_size,
    opens_note,
    opens_with_total,
    says_grade,
)
from tallyhook.recognising.sections import Section, sections_below
from tallyhook.recognising.unit_words import plain_words
from tallyhook.recognising.words import one_of
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import units_with

__all__ = [
    "HIDDEN_ROW",
    "SECTION_HEADING",
    "RowEvidence",
    "is_item_above",
    "may_be_no_item",
    "split_rows",
]

HIDDEN_ROW = to_say("hidden row")
"""Why a row is passed over that the sheet does not show."""

SECTION_HEADING = to_say("section heading")
"""Why a row is passed over that heads the rows below it."""

_HEADING = to_say("heading")
_HEADING_REPEATED = to_say("heading repeated")
_TITLE = to_say("title above the heading")
_BLANK = to_say("blank")
_TOTAL = to_say("total")
_NOTE = to_say("note")
_NUMBER_ALONE = to_say("a number alone")
_SPILT = to_say("more cells than headings: a comma inside a number was taken for a separator")


@dataclass(frozen=True, slots=True, kw_only=True)
class RowEvidence:
    """What the rows of a table are judged by.

    Attributes
    ----------
    sheet, heading
        The sheet and the heading of the table.
    loads : tuple of str
        Columns with ratings; none when the descriptions hold them.
    others : tuple of str
        Columns of sizes, grades and further loads.
    start : str or None
        What the title says of every row.
    habits : Habits
        The habits of the list.
    """

    sheet: Sheet
    heading: Heading
    loads: tuple[str, ...]
    others: tuple[str, ...]
    start: str | None
    habits: Habits


def split_rows(
    frame: pl.DataFrame, by: RowEvidence, *, closed: bool
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Part the item rows from all others.

    Parameters
    ----------
    frame : frame
        Some rows of the table.
    by : RowEvidence
        What they are judged by.
    closed : bool
        Whether the list ends with these rows; below a batch stands more of it.

    Returns
    -------
    body, skipped
        The item rows with their section; ``row`` and ``why`` of the rest.
    """
    filled = filled_counts(frame)
    hidden = _hidden(frame, by.sheet)
    why = _around_heading(frame, by.heading)
    sections: list[Section] = []
    # only rows that can be something else are looked at one by one
    open_ = ~hidden & ~frame["row"].is_in(list(why))
    suspects = frame.select("row").filter(_doubtful(frame, by, filled) & (filled > 0) & open_)
    for row, reason, found in _reasons(frame, suspects, by):
        if reason == SECTION_HEADING:
            sections.append(Section(row=row, text=max(found.values(), key=letters_in)))
        elif reason:
            why[row] = reason
    shown = frame.select("row").with_columns(filled, hidden)
    shown = _with_reasons(shown, why, by.heading.first)
    # of a list that goes on, rows alike stand for those below a heading, too
    shown = sections_below(
        shown, sections, by.start, heading=SECTION_HEADING, empty=None if not closed else _NOTE
    )
    body = frame.with_columns(shown["section"]).filter(shown["why"].is_null())
    skipped = shown.filter(pl.col("why").is_not_null()).select("row", "why")
    return _without_spilt(body, skipped, by)


def may_be_no_item(frame: pl.DataFrame, by: RowEvidence) -> pl.Series:
    """Find the rows that `split_rows` could take for something other than an item."""
    beyond = frame.select(pl.any_horizontal(pl.lit(value=False), *_beyond_headings(frame, by)))
    return _suspect_rows(frame, by.loads, filled_counts(frame)) | beyond.to_series()


def is_item_above(cells: Cells) -> bool:
    """Whether a row above the heading is an item, as in a sheet sorted with its heading."""
    rated = [c for c, t in cells.items() if is_amount(t, read_heading(t)) or holds_load(t)]
    named = [c for c, t in cells.items() if names_goods(t) or names_size(t)]
    return len(cells) > 1 and bool(rated and named)


# ---- rows that are looked at one by one


def _doubtful(frame: pl.DataFrame, by: RowEvidence, filled: pl.Series) -> pl.Series:
    if by.habits.usual == 1:  # a list of single texts: those without a measure
        cells = cell_columns(frame)
        measured = pl.any_horizontal(pl.col(c).str.contains(_measure()) for c in cells)
        return ~frame.select(measured).to_series()
    return _suspect_rows(frame, by.loads, filled)


@cache
def _measure() -> str:
    """Give a pattern for what the text of an item in a single cell holds: a number and a unit."""
    spellings = (units_with() - plain_words()) | units_with(care="words")
    return rf"(?i)\d\s*(?:{one_of(s for s in spellings if s[-1].isalnum())}\b|#|\")"


def _suspect_rows(frame: pl.DataFrame, loads: Sequence[str], filled: pl.Series) -> pl.Series:
    """Find the rows of a list with several columns that can be something other than an item.

    They fill two cells at most, have no rating where ratings have columns, or say something of
    a total. What a row is follows from its own cells alone, whichever rows stand around it.
    """
    rated = (
        pl.any_horizontal(pl.col(c).str.contains(r"\d") for c in loads)
        if loads
        else pl.lit(value=False)
    )
    total = pl.any_horizontal(opens_with_total(c) for c in cell_columns(frame)[:3])
    few = pl.lit(filled) <= thresholds.FEW_CELLS
    return frame.select((few | ~rated | total).alias("doubtful")).to_series()


def _hidden(frame: pl.DataFrame, sheet: Sheet) -> pl.Series:
    if not sheet.hidden:
        return pl.repeat(False, frame.height, eager=True).alias("hidden")
    return frame["row"].is_in(list(sheet.hidden)).alias("hidden")


def _around_heading(frame: pl.DataFrame, heading: Heading) -> dict[int, str]:
    """Give the reason for the rows of the heading and for the titles above it."""
    why = dict.fromkeys(heading.rows, _HEADING)
    for record in frame.filter(pl.col("row") < heading.first).iter_rows(named=True):
        if not is_item_above(filled_of(record)):
            why[int(record["row"])] = _TITLE
    return why


def _reasons(
    frame: pl.DataFrame, suspects: pl.DataFrame, by: RowEvidence
) -> list[tuple[int, str | None, Mapping[str, str]]]:
    """Give why each suspect row is no item, and its filled cells."""
    cells = cell_columns(frame)
    stripped = [pl.col(c).str.strip_chars().alias(c) for c in cells]
    looked_at = frame.join(suspects, on="row", how="semi", maintain_order="left").select(
        "row", *stripped
    )

    # of a list of two columns every row is looked at, and many are alike
    @lru_cache(maxsize=4096)
    def reason_of(*texts: str) -> tuple[str | None, Cells]:
        found = filled_of(dict(zip(cells, texts, strict=True)))
        reason = _reason(found, by)
        if reason is None and by.habits.usual >= thresholds.CODED_SECTION_CELLS:
            reason = _coded_section(found, by)
        return reason, found

    return [(row, *reason_of(*texts)) for row, *texts in looked_at.iter_rows()]


def _with_reasons(shown: pl.DataFrame, why: Mapping[int, str], first: int) -> pl.DataFrame:
    """Add ``why``: what is blank, hidden or has a reason of its own; null for the others."""
    shown = shown.with_columns(
        pl.when((pl.col("filled") == 0) & (pl.col("row") >= first))
        .then(pl.lit(_BLANK))
        .when(pl.col("hidden") & ~pl.col("row").is_in(list(why)))
        .then(pl.lit(HIDDEN_ROW))
        .otherwise(None)
        .alias("why")
    )
    if not why:
        return shown
    listed = pl.DataFrame(
        {"row": list(why), "own": list(why.values())},
        schema={"row": pl.Int64, "own": pl.String},
    )
    return shown.join(listed, on="row", how="left", maintain_order="left").with_columns(
        pl.coalesce("why", "own").alias("why")
    )


# ---- what one row is


def _reason(cells: Cells, by: RowEvidence) -> str | None:
    """Give why a row is no item; None when it is one."""
    texts = list(cells.values())
    first = texts[0]
    if by.heading.texts and repeats_heading(cells, by.heading):
        return _HEADING_REPEATED
    key = [c for c in (*by.loads, *by.others) if c in cells and not is_blank(cells[c])]
    if is_total(first) and not (
        holds_size(first) or any(holds_size(cells[c]) for c in by.others if c in cells)
    ):
        return _TOTAL
    if len(cells) > 1 and any(is_total(t) for t in texts) and not key:
        return _TOTAL
    if len(cells) == 1:
        return _reason_alone(cells, by)
    if len(cells) == 2 and by.habits.usual > 2 and not key:
        described = [t for c, t in cells.items() if c in by.habits.sized]
        if any(names_size(t) and not is_sentence(t) for t in described):
            return None  # an item that gives its stock or its price, too
        wordy = all(not re.search(r"\d", t) and len(t) > thresholds.WORDY_CELL for t in texts)
        if is_note(first) or wordy:
            return _NOTE
        if not any(is_number(t) for t in texts) and opens_note(first):
            return _NOTE
    if all(is_blank(t) or re.fullmatch(r"[-=_*. ]+", t) for t in texts):
        return _BLANK
    return None


def _reason_alone(cells: Cells, by: RowEvidence) -> str | None:
    """Give why a row with one filled cell is no item."""
    (text,) = cells.values()
    if by.habits.usual == 1:
        if heads_group(text, alone=True):
            return SECTION_HEADING
        return _NOTE if is_note(text) and not (holds_load(text) or holds_size(text)) else None
    if holds_load(text) and not by.loads:
        return None
    # an item whose other cells are blank, and no heading that grades the rows below it
    sized = cells.keys() <= by.habits.sized or (by.others and says_grade(text))
    if sized and names_size(text) and not is_sentence(text):
        return None
    if heads_group(text, alone=False):
        return SECTION_HEADING
    return _NUMBER_ALONE if is_number(text) else _NOTE


def _coded_section(cells: Cells, by: RowEvidence) -> str | None:
    """Take a code and a text in capitals, with no size and no load, for the heading of a group."""
    if len(cells) != 2 or set(cells) & {*by.loads, *by.others}:
        return None
    column = max(cells, key=lambda c: letters_in(cells[c]))
    text = cells[column]
    code = next(t for c, t in cells.items() if c != column)
    capital = text.isupper() and column not in by.habits.shouted
    short = len(code) <= thresholds.LONGEST_GROUP_CODE
    if capital and short and names_goods(text) and not holds_size(text):
        return SECTION_HEADING if heads_group(text, alone=False) else None
    return None


# ---- rows pushed to the right


def _without_spilt(
    body: pl.DataFrame, skipped: pl.DataFrame, by: RowEvidence
) -> tuple[pl.DataFrame, pl.DataFrame]:
    spilt = _spilt(body, by)
    if not spilt.height:
        return body, skipped
    more = spilt.select("row", pl.lit(_SPILT).alias("why"))
    body = body.join(spilt.select("row"), on="row", how="anti", maintain_order="left")
    return body, pl.concat([skipped, more]).sort("row")


def _spilt(body: pl.DataFrame, by: RowEvidence) -> pl.DataFrame:
    """Find rows pushed to the right by an unquoted thousands comma."""
    beyond = _beyond_headings(body, by)
    if not beyond:
        return body.clear()
    split = pl.any_horizontal(
        pl.col(a).str.contains(r"(?:^|\D)\d{1,3}$") & pl.col(b).str.contains(r"^\d{3}(?:\D|$)")
        for a, b in itertools.pairwise(cell_columns(body))
    )
    return body.filter(pl.any_horizontal(beyond) & split)


def _beyond_headings(body: pl.DataFrame, by: RowEvidence) -> list[pl.Expr]:
    """Give for each column beyond the last heading whether its cell is filled."""
    cells = cell_columns(body)
    headed = [c for c in cells if c in by.heading.texts]
    stored = by.sheet.name is not None or by.sheet.stored_numbers
    if stored or not headed or headed[-1] == cells[-1]:
        return []
    return [pl.col(c) != "" for c in cells[cells.index(headed[-1]) + 1 :]]

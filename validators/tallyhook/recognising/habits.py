"""What the rows of a list have in common, by which one row is judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl

from tallyhook.recognising import thresholds
from tallyhook.recognising.row_texts import names_size

__all__ = ["Habits", "cell_columns", "filled_cells", "filled_counts", "habits_of"]

_LETTER = r"[^\W\d_]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What the rows of a list have in common.

    `usual` is the number of cells that an item fills, 1 only for a list of single texts;
    `shouted` names the columns whose texts are mostly in capitals, `sized` those whose texts
    name the sizes of the items.
    """

    usual: int
    shouted: frozenset[str]
    sized: frozenset[str]


def habits_of(frame: pl.DataFrame) -> Habits:
    """Find the habits of a list from its rows, or from a sample of them."""
    filled, cells = filled_counts(frame), cell_columns(frame)
    return Habits(
        usual=_usual(filled),
        shouted=_shouted(frame, cells),
        sized=_sized(frame.filter(filled > 1), cells),
    )


def cell_columns(frame: pl.DataFrame) -> list[str]:
    """Give the columns of a frame that hold cells of the list."""
    return [c for c in frame.columns if c not in ("row", "section")]


def filled_counts(frame: pl.DataFrame) -> pl.Series:
    """Count the cells of each row that hold more than white space."""
    filled = pl.sum_horizontal(filled_cells(frame, cell_columns(frame)))
    return frame.select(filled.alias("filled")).to_series()


def filled_cells(frame: pl.DataFrame, cells: Sequence[str]) -> list[pl.Expr]:
    """Give for each cell of a row whether it holds more than white space."""
    # white space opens with a byte below "!" or above ASCII; where no cell of a column does,
    # comparing with nothing is enough, and ten times as fast as stripping
    if not cells:
        return []
    odd = frame.select(
        (((pl.col(c) < "!") & (pl.col(c) != "")) | (pl.col(c) >= "\u0080")).any() for c in cells
    ).row(0)
    return [
        (pl.col(c).str.strip_chars() if strange else pl.col(c)) != ""
        for c, strange in zip(cells, odd, strict=True)
    ]


def _usual(filled: pl.Series) -> int:
    """Give the number of cells that an item fills; 1 only for a list of single texts."""
    counts = filled.filter(filled > 0)
    several = counts.filter(counts > 1)
    if len(several) < thresholds.SEVERAL_CELLS_SHARE * len(counts):
        return 1
    return int(several.median() or 0)  # type: ignore[arg-type]


def _shouted(frame: pl.DataFrame, cells: Sequence[str]) -> frozenset[str]:
    """Find the columns whose texts are mostly in capitals."""
    enough = pl.all().str.count_matches(_LETTER) >= thresholds.SHOUTED_LETTERS
    worded = pl.all().filter(enough).implode()
    texts = frame.head(thresholds.SAMPLE_ROWS).select(cells).select(worded).row(0, named=True)
    return frozenset(
        c for c, t in texts.items() if sum(map(str.isupper, t)) > thresholds.SHOUTED_SHARE * len(t)
    )


def _sized(items: pl.DataFrame, cells: Sequence[str]) -> frozenset[str]:
    """Find the columns whose texts name the sizes of the items, as descriptions do."""
    found = set()
    for column in cells:
        texts = items[column].head(thresholds.SAMPLE_ROWS)
        distinct = texts.filter(texts.str.contains(_LETTER)).unique(maintain_order=True)
        if _mostly_sized(distinct.head(thresholds.HABIT_TEXTS).to_list()):
            found.add(column)
    return frozenset(found)


def _mostly_sized(texts: Sequence[str]) -> bool:
    """Whether enough texts name a size; each takes long to read, so no more than needed."""
    wanted = thresholds.SIZED_SHARE * len(texts)
    sized = 0
    for left, text in zip(range(len(texts) - 1, -1, -1), texts, strict=True):
        sized += names_size(text)
        if sized >= wanted:
            return True
        if sized + left < wanted:
            return False
    return False

"""The index of the pandas frame that a list was: what a program joins a report back by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.model.layout import Layout

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["index_values", "with_own_index"]

_WIDEST = 2**63


def index_values(places: pl.DataFrame, layouts: Sequence[Layout]) -> pl.Series:
    """Give the index value of each row of a report, as machine formats have it.

    Parameters
    ----------
    places : frame
        The ``sheet`` and ``row`` of each, null where it is about no row.
    layouts : sequence of Layout
        The tables of the list.

    Returns
    -------
    series
        Numbers where all values of the index are numbers, text otherwise; null for a file.
    """
    index = layouts[0].sheet.index if layouts else None
    if index is None:
        return pl.Series("index", [None] * places.height, dtype=pl.String)
    numbers = _positions(places, layouts)
    blank = index.isna() if index.nlevels == 1 else [False] * len(index)
    taken = [None if n is None or blank[n] else index[n] for n in numbers]
    kind = index.inferred_type
    if kind == "integer" and index.min() >= -_WIDEST and index.max() < _WIDEST:
        return pl.Series("index", [v if v is None else int(v) for v in taken], dtype=pl.Int64)
    if kind == "floating" and max(abs(index.min()), abs(index.max())) < float("inf"):
        values = [v if v is None else float(v) for v in taken]
        return pl.Series("index", values, dtype=pl.Float64)
    texts = [v if v is None else _text(v) for v in taken]
    return pl.Series("index", texts, dtype=pl.String)


def with_own_index(frame: pd.DataFrame, places: pl.DataFrame, layouts: Sequence[Layout]) -> Any:
    """Give a pandas frame of a report the index values as the list's own frame has them."""
    index = layouts[0].sheet.index if layouts else None
    if index is None:
        return frame
    import pandas as pd

    numbers = _positions(places, layouts)
    if None in numbers:
        taken = [None if number is None else index[number] for number in numbers]
        values = pd.Series(taken, dtype=object)
    else:
        values = pd.Series(index.take(numbers).to_flat_index())
    return frame.assign(index=values)


def _positions(places: pl.DataFrame, layouts: Sequence[Layout]) -> list[int | None]:
    """Count the rows of a report from the first record of the frame on, which is 0."""
    tidied, sheet = layouts[0].tidied, layouts[0].sheet
    rows = places.select("sheet", pl.col("row").cast(pl.Int64))
    if tidied is None:
        first = (sheet.heading_row or 0) + 1
        return (rows["row"] - first).to_list()
    # its rows are those of the list that was tidied; one of them may hold several items
    own = tidied.items.select("sheet", "row").with_row_index("position")
    alone = own.filter(pl.struct("sheet", "row").is_unique())
    placed = rows.join(
        alone, on=["sheet", "row"], how="left", nulls_equal=True, maintain_order="left"
    )
    return placed["position"].to_list()


def _text(value: Any) -> str:
    if isinstance(value, tuple):  # of an index of several levels
        return str(tuple(each.item() if hasattr(each, "item") else each for each in value))
    return str(value.isoformat()) if hasattr(value, "isoformat") else str(value)

"""Two columns of one row that give the same quantity in two units."""

from __future__ import annotations

import pandas as pd

from tallyhook.rules.package._names import ending_of

__all__ = ["pairs"]


def pairs(values: pd.DataFrame, unit: str, other: str) -> pd.DataFrame:
    """Join ``X_unit`` to ``X_other`` of the same row: ``value`` and ``value_other``."""
    sides = []
    for each in (unit, other):
        ending = ending_of(each)
        side = values[(values["unit"] == each) & values["column"].str.endswith(ending)]
        sides.append(side.assign(stem=side["column"].str.removesuffix(ending)).reset_index())
    left, right = sides
    right = right[["table", "row", "stem", "value"]]
    joined = left.merge(right, on=["table", "row", "stem"], suffixes=("", "_other"))
    return joined.set_index("row")

"""Two columns of one row that give the same quantity in two units."""

from __future__ import annotations

import pandas as pd

from tallyhook.rules.package.unit_disagrees_with_column_name import ENDINGS

__all__ = ["pairs"]

_END_OF = {unit: end for end, unit in ENDINGS.items()}


def pairs(values: pd.DataFrame, unit: str, other: str) -> pd.DataFrame:
    """Join ``X_unit`` to ``X_other`` of the same row: ``value`` and ``value_other``."""
    sides = []
    for each in (unit, other):
        side = values[(values["unit"] == each) & values["column"].str.endswith(_END_OF[each])]
        sides.append(side.assign(stem=side["column"].str.removesuffix(_END_OF[each])).reset_index())
    left, right = sides
    right = right[["table", "row", "stem", "value"]]
    joined = left.merge(right, on=["table", "row", "stem"], suffixes=("", "_other"))
    return joined.set_index("row")

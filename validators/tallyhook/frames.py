"""Frames of polars as pandas frames, and the other way.

polars does this by pyarrow, which is as large as polars itself; here numpy does it, so that an
answer is the same with and without that library.
"""

from __future__ import annotations

import numbers
from typing import TYPE_CHECKING, Any

import polars as pl

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["from_pandas", "to_pandas"]


def to_pandas(frame: pl.DataFrame) -> pd.DataFrame:
    """Give a frame as a pandas frame, with rows counted from 0.

    Missing numbers and texts are NaN, a missing boolean is None; whole numbers of a column where
    one is missing become floats; a list is an array.

    Examples
    --------
    >>> to_pandas(pl.DataFrame({"part": ["C-70", None], "legs": [2, None]})).values.tolist()
    [['C-70', 2.0], [nan, nan]]
    """
    import pandas as pd  # a third of a second, and a check that is only printed has no use for it

    text = pd.Series([""]).dtype  # object, or the text of a newer pandas
    columns = {}
    for column in frame.iter_columns():
        each = column.dtype.is_nested() or column.dtype == pl.Null
        values: Any = _objects(column) if each else column.to_numpy()
        if column.dtype == pl.String:
            columns[column.name] = pd.Series(values, dtype=text)
        elif column.dtype.is_integer() and column.null_count():
            columns[column.name] = pd.Series(values, dtype="float64")
        else:
            columns[column.name] = pd.Series(values)
    return pd.DataFrame(columns, index=pd.RangeIndex(frame.height))


def _objects(column: pl.Series) -> Any:
    import numpy as np

    values = np.empty(len(column), dtype=object)
    for place, value in enumerate(column):
        values[place] = value.to_numpy() if isinstance(value, pl.Series) else value
    return values


def from_pandas(frame: pd.DataFrame) -> list[pl.Series | list[Any]]:
    """Give the columns of a pandas frame, each as a series of its own type.

    NaN and every other mark of a missing value is null. A column of several types is a list.
    """
    return [_series(frame.iloc[:, place]) for place in range(frame.shape[1])]


def _series(column: pd.Series[Any]) -> pl.Series | list[Any]:
    import numpy as np

    if isinstance(column.dtype, np.dtype) and column.dtype.kind in "biufmM":
        values = column.to_numpy()
        if column.dtype == np.float16:
            values = values.astype(np.float32)
        elif column.dtype.kind in "mM":
            values = values.astype(f"{column.dtype.kind}8[us]")
        return pl.Series(values, nan_to_null=True)
    missing = column.isna().to_numpy()
    objects = column.astype(object).to_numpy(copy=True)
    objects[missing] = None
    plain = objects.tolist()
    kinds = {type(value) for value in plain} - {type(None)}
    if len(kinds) > 1 and bool not in kinds and all(issubclass(k, numbers.Real) for k in kinds):
        return pl.Series([None if value is None else float(value) for value in plain])
    if kinds <= {str}:
        return pl.Series(plain, dtype=pl.String)
    try:
        found = pl.Series(plain)
    except Exception:  # several types, or numbers beyond any: it is refused in several ways
        return plain
    return plain if found.dtype == pl.Object else found

"""Tables whose values are one share of a size, and the values that leave that line."""

from __future__ import annotations

import pandas as pd

__all__ = ["off_line"]

MOST = 0.75
"""The part of a table's rows that makes a line."""


def off_line(frame: pd.DataFrame, share: pd.Series, *, within: float) -> pd.DataFrame:
    """Tell for each row whether its table keeps a line, and whether the row leaves it.

    Parameters
    ----------
    frame : frame
        Rows with `source` and `locator`, which together name a table.
    share : series
        Each row's value over its size.
    within : float
        How far a share may be from its table's median, as a part of it.

    Returns
    -------
    frame
        ``line`` (the median share), ``has_line`` and ``off``, by row.
    """
    table = [frame["source"], frame["locator"]]
    median = share.groupby(table).transform("median")
    off = ~((share / median - 1).abs() <= within)
    kept = (~off).astype(float).groupby(table).transform("mean")
    return pd.DataFrame({"line": median, "has_line": kept >= MOST, "off": off})

"""European ratings of whole columns."""

from __future__ import annotations

import pandas as pd

from tallyhook.formulas import european_wll

__all__ = ["unrounded_kg"]


def unrounded_kg(frame: pd.DataFrame) -> pd.Series:
    """Give the unrounded rating of one leg for each row's grade and size [kg].

    Not a number for a grade that has no European stress, so that such a row is found and not
    the rule stopped.
    """
    loads = [
        _unrounded(float(size), int(grade))
        for grade, size in zip(frame["grade"], frame["size_mm"], strict=True)
    ]
    return pd.Series(loads, index=frame.index, dtype=float)


def _unrounded(size_mm: float, grade: int) -> float:
    try:
        return 1000 * european_wll(size_mm, grade)
    except ValueError:
        return float("nan")

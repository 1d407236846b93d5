"""European ratings of whole columns."""

from __future__ import annotations

import math

import pandas as pd

from tallyhook.formulas import european_wll
from tallyhook.packages.grades import stress_at_rating

__all__ = ["unrounded_kg"]


def unrounded_kg(frame: pd.DataFrame) -> pd.Series:
    """Give the unrounded rating of one leg for each row's grade and size [kg].

    Not a number for a grade that has no European stress, so that such a row is found and not
    the rule stopped.
    """
    loads = [
        _load(grade, size) for grade, size in zip(frame["grade"], frame["size_mm"], strict=True)
    ]
    return pd.Series(loads, index=frame.index, dtype=float)


def _load(grade: float, size_mm: float) -> float:
    stress = None if math.isnan(grade) else stress_at_rating(int(grade))
    return math.nan if stress is None else 1000 * european_wll(size_mm, stress)

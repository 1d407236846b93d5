"""European ratings of whole columns."""

from __future__ import annotations

import math

import pandas as pd
import polars as pl

from tallyhook.formulas import european_wll
from tallyhook.frames import from_pandas
from tallyhook.packages.grades import stresses_at_rating

__all__ = ["unrounded_kg"]


def unrounded_kg(frame: pd.DataFrame, grades: pd.DataFrame) -> pd.Series:
    """Give the unrounded rating of one leg for each row's grade and size [kg].

    `grades` is the table chain.grades of the packages that are audited, sealed or not. Not a
    number for a grade that has no European stress, so that such a row is found and not the rule
    stopped.
    """
    columns = ["grade", "design_factor", "breaking_stress_n_mm2", "breaking_stress_n_mm2_known_by"]
    plain = pl.DataFrame(dict(zip(columns, from_pandas(grades[columns]), strict=True)))
    stresses = stresses_at_rating(plain)

    def load(grade: float, size_mm: float) -> float:
        stress = None if math.isnan(grade) else stresses.get(int(grade))
        return math.nan if stress is None else 1000 * european_wll(size_mm, stress)

    loads = [load(*row) for row in zip(frame["grade"], frame["size_mm"], strict=True)]
    return pd.Series(loads, index=frame.index, dtype=float)

"""Test forces held against a multiple of the rating of the same chain."""

from __future__ import annotations

import pandas as pd

from tallyhook.rules.package import beside, findings
from tallyhook.units import factor

__all__ = ["forces_against"]

ROUNDED_DOWN = 1.065
"""A rating that was rounded down one step of R40 leaves at most this much force above it."""


def forces_against(
    forces: pd.DataFrame, ratings: pd.DataFrame, grades: pd.DataFrame, *, multiple: str
) -> pd.DataFrame:
    """Find the forces that are not `multiple` (a column of grades) times the WLL."""
    full = beside(forces, ratings, ["scheme", "grade", "size_mm"], ["wll_kg", "wll_lb"])
    full = beside(full, grades, ["scheme", "grade"], [multiple])
    in_pounds = full["wll_lb"] * full[multiple]
    # half a pound: the pounds are whole multiples; a force without a rating is found too
    wrong_pounds = full["force_lb"].notna() & ~((full["force_lb"] - in_pounds).abs() <= 0.5)
    metric = full["force_lb"].isna()
    newtons = full["wll_kg"] * full[multiple] * factor("kg", "kN")
    ratio = full["force_kn"] / newtons
    wrong_force = metric & ~ratio.between(0.995, ROUNDED_DOWN)
    return pd.concat(
        [
            findings(full[wrong_pounds], column="force_lb", expected=in_pounds[wrong_pounds]),
            findings(full[wrong_force], column="force_kn", expected=newtons[wrong_force]),
        ]
    )

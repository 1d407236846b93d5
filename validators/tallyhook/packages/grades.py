"""What chain.grades says of a grade."""

from __future__ import annotations

from functools import cache

import polars as pl

from tallyhook.packages.package import built_in_packages

__all__ = ["stress_at_rating", "stresses_at_rating"]


def stress_at_rating(grade: int) -> float | None:
    """Give the mean stress over both bar sections at the rated load [N/mm2].

    None for a grade whose stress no document defines: American grades are numbers, and their
    stresses are computed from them.

    Examples
    --------
    EN 818-1, grade symbols: grade 8 breaks at 800 N/mm2, and its design factor is 4.

    >>> stress_at_rating(80), stress_at_rating(70)
    (200.0, None)
    """
    return _built_in().get(grade)


def stresses_at_rating(grades: pl.DataFrame) -> dict[int, float]:
    """Give the stress at the rated load [N/mm2] of each grade of a table like chain.grades."""
    defined = grades.filter(
        pl.col("breaking_stress_n_mm2").is_not_null()
        & (pl.col("breaking_stress_n_mm2_known_by").fill_null("") != "computed")
    )
    stress = pl.col("breaking_stress_n_mm2") / pl.col("design_factor")
    return dict(defined.select("grade", stress.cast(pl.Float64)).iter_rows())


@cache
def _built_in() -> dict[int, float]:
    return stresses_at_rating(built_in_packages()["chain"]["grades"])

"""The published formulas that the rating tables follow.

Each function is pure, names its units, and says which document and clause the formula is from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from tallyhook.units import STANDARD_GRAVITY

__all__ = [
    "R40",
    "american_grade",
    "chain_force",
    "european_wll",
    "round_down_r40",
    "round_force",
]

# ISO 3:1973, basic series R40, one decade. The standard rounds some terms away from the
# theoretical powers of 10 ** (1/40), so the series is data and not a formula.
R40: tuple[float, ...] = (
    1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70,
    1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80, 3.00,
    3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30,
    5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50, 9.00, 9.50,
)  # fmt: skip


def round_down_r40(value: float, series: Sequence[float] = R40) -> float:
    """Round down to the preferred numbers of ISO 3, series R40.

    Raises
    ------
    ValueError
        The value is not a positive finite number.

    Examples
    --------
    EN 818-4, table 3: 6 mm grade 8, two legs to 45 degrees, 1.4 x 1.1533 t is rated 1.6 t.

    >>> round_down_r40(1.4 * 1.1533)
    1.6
    """
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"preferred numbers are positive: {value!r}")
    decade = 10.0 ** math.floor(math.log10(value) + 1e-12)
    mantissa = value / decade
    step = max((s for s in series if s <= mantissa * (1 + 1e-9)), default=series[0])
    return round(step * decade, 10)


def european_wll(size_mm: float, stress_n_mm2: float) -> float:
    """Give the unrounded working load limit of European short link chain [t].

    Two bar sections at the mean stress of the grade, EN 818-1 (grade symbols) and EN 818-2/-3:
    ``2 (pi d^2 / 4) s / g``. The printed rating is `round_down_r40` of it.

    Parameters
    ----------
    size_mm : float
        Nominal diameter [mm].
    stress_n_mm2 : float
        Mean stress at the rated load [N/mm2]: `tallyhook.packages.grades.stress_at_rating`.

    Examples
    --------
    EN 818-2, 10 mm grade 8 (200 N/mm2): 3.2035 t, printed 3.15 t.

    >>> round(european_wll(10, 200), 4), round_down_r40(european_wll(10, 200))
    (3.2035, 3.15)
    """
    return chain_force(size_mm, stress_n_mm2) / STANDARD_GRAVITY


def chain_force(size_mm: float, stress_n_mm2: float) -> float:
    """Give the force on two bar sections at a mean stress [kN].

    EN 818-3 annex A: ``0.314159 d^2`` kN is the proof force of grade 4 (200 N/mm2).

    Examples
    --------
    >>> round(chain_force(10, 200), 2)
    31.42
    """
    return 2 * math.pi * size_mm**2 / 4 * stress_n_mm2 / 1000


def round_force(force_kn: float) -> float:
    """Round a force as the European chain tables print it [kN].

    EN 818-3 annex A: to 0.1 kN below 100 kN, to 1 kN from 100 kN; the tables print four-figure
    forces to 10 kN.

    Examples
    --------
    >>> round_force(62.83), round_force(106.19), round_force(1286.8)
    (62.8, 106.0, 1290.0)
    """
    digits = 1 if force_kn < 100 else 0 if force_kn < 1000 else -1
    return float(round(force_kn, digits))


def american_grade(breaking_force_kn: float, size_mm: float) -> float:
    """Give the grade number that a minimum breaking force amounts to.

    ASTM A391/A391M-21 clause 1.3.1, A973/A973M-21 1.4.1, A413/A413M-21 1.4.1:
    ``force / (0.005 pi d^2)``.

    Parameters
    ----------
    breaking_force_kn : float
        Minimum breaking force [kN].
    size_mm : float
        Material diameter [mm].

    Examples
    --------
    10 mm and 125.66 kN are grade 80.

    >>> round(american_grade(125.66, 10), 1)
    80.0
    """
    return breaking_force_kn / (0.005 * math.pi * size_mm**2)

"""How likely a mistake is to have left the very number in the row."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from tallyhook.explaining.causes import Prediction
from tallyhook.explaining.ladders import Ladders
from tallyhook.units import factor

__all__ = ["FURTHEST", "chance_of_any_number", "evidence", "significant_figures", "written_as"]

Item = Mapping[str, Any]

# How people write a load that they read or computed: share by the figures they keep. The shares
# are common practice, no source; what matters is that an exact match outweighs a rounded one.
_AS_IT_IS, _FOUR, _THREE, _TWO, _CUT_THREE, _CUT_TWO, _ROUGHLY = (
    0.62,
    0.1,
    0.14,
    0.05,
    0.04,
    0.02,
    0.02,
)

FURTHEST = 0.06
"""Share that a number may be off the load that it is written for."""

_CELL = frozenset(
    {
        "pounds-as-kilograms",
        "kilograms-as-pounds",
        "short-tons-as-tonnes",
        "tonnes-as-short-tons",
        "force-unit-confused",
        "decimal-point-shifted",
        "digits-swapped",
        "digit-mistyped",
        "digit-lost-or-added",
        "rounded",
    }
)
"""Causes that touch one cell and leave its neighbours as they were."""

_BEFORE_CONVERSION = frozenset(
    {"decimal-point-shifted", "pounds-as-kilograms", "kilograms-as-pounds"}
)
"""Those among them that happen before the other unit's column is worked out from the first."""

_ROW = frozenset(
    {
        "other-grade",
        "neighbouring-size",
        "multi-leg-rating-as-single",
        "single-leg-rating-as-multi-leg",
        "other-angle",
        "other-scheme",
    }
)
"""Causes that copy from another row of a table, often with all its columns."""


def significant_figures(value: float) -> int:
    """Count the digits of a written number without its trailing zeros.

    Examples
    --------
    >>> significant_figures(7100.0), significant_figures(3.15), significant_figures(26400.0)
    (2, 3, 3)
    """
    digits = Decimal(f"{value:.10g}").normalize().as_tuple().digits
    return max(len(digits), 1)


def chance_of_any_number(value: float) -> float:
    """Give the chance that a wrong number without a reason is this one.

    Four decades of loads are possible, and a number of `n` figures is one of ``9 x 10^(n-1)`` in
    its decade: a round number arises by chance more easily than 26,430.
    """
    return 1 / (4 * 9 * 10.0 ** (significant_figures(value) - 1))


def written_as(prediction: Prediction, value: float, unit: str) -> float:
    """Give the chance that a predicted load is written as this number of this unit."""
    expected = prediction.kg / factor(unit, "kg")
    if expected <= 0:
        return 0.0
    off = abs(value / expected - 1)
    if prediction.exact:
        return 1.0 if off < 1e-6 else 0.0
    if off > FURTHEST:
        return 0.0
    chance = _AS_IT_IS if off < 1e-4 else 0.0
    chance += _ROUGHLY if off < 3e-3 else 0.0  # 2.2 for 2.2046, 9.81 for 9.80665
    decade, room = math.floor(math.log10(expected)), 1e-6 * expected
    for figures, nearest, cut in ((4, _FOUR, 0.0), (3, _THREE, _CUT_THREE), (2, _TWO, _CUT_TWO)):
        unit_in_last_place = 10.0 ** (decade - figures + 1)
        if abs(round(expected / unit_in_last_place) * unit_in_last_place - value) < room:
            chance += nearest
        if (
            cut
            and abs(math.floor(expected / unit_in_last_place + 1e-9) * unit_in_last_place - value)
            < room
        ):
            chance += cut
    return chance


def evidence(cause: str, item: Item, ladders: Ladders) -> float:
    """Weigh a cause by the row's other columns: above 1 they speak for it, below 1 against it."""
    weight = 1.0
    own = ladders.own(item)
    wll = item["wll_kg"]
    second = item["wll2_kg"]
    if second is not None and own:
        other_right = any(abs(second / r.kg - 1) < 0.03 for r in own)
        same_load = abs(second / wll - 1) < 0.025
        if other_right and not same_load:
            weight *= 1.0 if cause in _CELL else 0.05
        if same_load:  # both columns say it: a slip of one cell is out, a wrong row is likely
            weight *= 0.05 if cause in _CELL - _BEFORE_CONVERSION else 1.0
    newtons = factor("kg", "kN")
    for column, own_cause in (
        ("breaking_kn", "breaking-force-as-wll"),
        ("proof_kn", "proof-force-as-wll"),
    ):
        force = item[column]
        if force is None:
            continue
        if abs(wll * newtons / force - 1) < 0.03:  # the rating is that column's number
            weight *= 20.0 if cause == own_cause else 0.3
            continue
        ratio = force / (wll * newtons)
        fits_row = (2.9 < ratio < 5.5) if column == "breaking_kn" else (1.45 < ratio < 2.75)
        fits_own = any(
            (2.9 < force / (r.kg * newtons) < 5.5)
            if column == "breaking_kn"
            else (1.45 < force / (r.kg * newtons) < 2.75)
            for r in own
        )
        if (
            fits_row and not fits_own
        ):  # the force went with the wrong rating: another row was copied
            weight *= 1.0 if cause in _ROW else 0.1
        elif fits_own and not fits_row:
            weight *= 0.3 if cause in _ROW else 1.0
    return weight
